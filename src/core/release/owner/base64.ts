const LETTERS = 'ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/'

/** Bytes as text (RFC 4648, with padding). */
export function base64(bytes: Uint8Array): string {
  const codes = new Uint8Array(4 * Math.ceil(bytes.length / 3))
  let at = 0
  for (let i = 0; i < bytes.length; i += 3) {
    const word = (bytes[i]! << 16) | ((bytes[i + 1] ?? 0) << 8) | (bytes[i + 2] ?? 0)
    for (let k = 0; k < 4; k++) codes[at++] = LETTERS.charCodeAt((word >> (18 - 6 * k)) & 63)
  }
  const over = bytes.length % 3
  for (let k = 0; k < (over === 0 ? 0 : 3 - over); k++) codes[codes.length - 1 - k] = 61
  return new TextDecoder('latin1').decode(codes)
}
