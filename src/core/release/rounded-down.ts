/**
 * A gap for print, rounded towards zero clearance: a certificate is never rounded in its own favour.
 *
 * @example roundedDown(12.6699, 1) // 12.6
 */
export function roundedDown(gap_mm: number, digits: number): number {
  const k = Number(`1e${digits}`)
  // What is a decimal already must not fall by one for the last bit of its double.
  return Math.floor(gap_mm * k + 1e-6) / k
}
