const BINS = 4096

/**
 * The value below which the share `p` of the weight lies, without sorting: three rounds of a histogram, each inside the bin
 * that holds the answer, so the answer is exact to the range divided by 4096³. NaN values and their weights are left out.
 *
 * @param p 0…1
 * @param weight one per value; `null`: all alike
 * @returns NaN when nothing has weight
 */
export function weightedQuantile(
  values: Float32Array | Float64Array,
  weight: Float32Array | Float64Array | null,
  p: number,
): number {
  let low = Infinity
  let high = -Infinity
  let total = 0
  for (let i = 0; i < values.length; i++) {
    const v = values[i]!
    const w = weight ? weight[i]! : 1
    if (!(w > 0) || Number.isNaN(v)) continue
    total += w
    if (v < low) low = v
    if (v > high) high = v
  }
  if (!(total > 0)) return Number.NaN
  let below = 0
  const histogram = new Float64Array(BINS)
  for (let round = 0; round < 3 && high > low; round++) {
    histogram.fill(0)
    const scale = BINS / (high - low)
    if (!(scale < Infinity)) break
    for (let i = 0; i < values.length; i++) {
      const v = values[i]!
      const w = weight ? weight[i]! : 1
      if (!(v >= low && v <= high && w > 0)) continue
      histogram[Math.min(BINS - 1, Math.floor((v - low) * scale))]! += w
    }
    let bin = 0
    while (bin < BINS - 1 && below + histogram[bin]! < p * total) below += histogram[bin++]!
    const width = (high - low) / BINS
    const from = low + bin * width
    if (bin < BINS - 1) high = from + width
    low = from
  }
  return (low + high) / 2
}
