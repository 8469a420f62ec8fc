const KEY = 'mouldwright-looked-round'

/**
 * True once in a browser: the notes of the first look are never shown twice, not even after a reload in their middle. Where
 * nothing can be kept that cannot be promised, so they are not shown at all.
 */
export function firstVisit(): boolean {
  try {
    if (localStorage.getItem(KEY) !== null) return false
    localStorage.setItem(KEY, 'yes')
    return true
  } catch {
    return false
  }
}
