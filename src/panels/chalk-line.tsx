/** A snapped chalk line: one clean stroke with the dust it leaves beside it. */
export function ChalkLine() {
  return (
    <svg className="chalk-line" viewBox="0 0 280 6" preserveAspectRatio="none" aria-hidden="true">
      <path d="M0 2.6L280 3" strokeWidth="2.2" vectorEffect="non-scaling-stroke" />
      <path
        d="M2 1.1L278 1.5"
        strokeWidth="0.7"
        strokeDasharray="34 7 61 12 22 5 48 19"
        opacity="0.55"
        vectorEffect="non-scaling-stroke"
      />
      <path
        d="M0 4.5L280 4.7"
        strokeWidth="0.6"
        strokeDasharray="12 23 44 9 71 31"
        opacity="0.4"
        vectorEffect="non-scaling-stroke"
      />
    </svg>
  )
}
