/** One tab writes; the others have a copy. The lock is the browser's own and is given back by a crash too. */
export interface TabLock {
  /** True if this tab may write now. */
  readonly mine: boolean
  /** Resolves when the tab that writes is gone and this one may. Never, if it may already. */
  readonly later: Promise<void>
}

const NAME = 'mouldwright-writes'

export async function claimTab(): Promise<TabLock> {
  // Without locks the revisions in the store still keep tabs from overwriting each other.
  if (!navigator.locks) return { mine: true, later: new Promise(() => {}) }
  const forever = new Promise<void>(() => {})
  const mine = await new Promise<boolean>((resolve) => {
    void navigator.locks.request(NAME, { ifAvailable: true }, (lock) => {
      resolve(lock !== null)
      return lock === null ? undefined : forever
    })
  })
  if (mine) return { mine, later: forever }
  const later = new Promise<void>((resolve) => {
    void navigator.locks.request(NAME, () => {
      resolve()
      return forever
    })
  })
  return { mine, later }
}
