/** Hands a file to the person by the browser's own way. */
export function download(name: string, bytes: Uint8Array, type: string): void {
  const url = URL.createObjectURL(new Blob([bytes as Uint8Array<ArrayBuffer>], { type }))
  const link = document.createElement('a')
  link.href = url
  link.download = name
  link.click()
  // The browser has taken the bytes by the next turn but one; a minute is plenty on the slowest disk.
  setTimeout(() => URL.revokeObjectURL(url), 60_000)
}

/** @example fileName('Survey launch canopy', 'C') // 'survey-launch-canopy-rev-c' */
export const fileName = (title: string, revision: string): string =>
  `${title}-rev-${revision}`
    .toLowerCase()
    .replace(/[^a-z0-9]+/g, '-')
    .replace(/^-|-$/g, '') || 'job'
