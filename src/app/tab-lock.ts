/**
 * One tab writes; the others have a copy. The lock is the browser's own and is given back by a crash too. A tab may ask for
 * it: the one that has it writes what is waiting, lets go, and stands in line again.
 */
export interface TabLock {
  /** True if this tab may write now. */
  readonly mine: boolean
  /** Asks the tab that writes to let go; one that does not answer within `PATIENCE_MS` (it hangs) loses the lock all the same. */
  takeOver(): void
}

export interface TabEvents {
  /** This tab may write from now on; not called when it may at once. */
  onMine(): void
  /** Another tab wants to write: what is waiting is to be written before this resolves. */
  onAsked(): Promise<void>
  /** This tab may write no more. */
  onLost(): void
}

const NAME = 'mouldwright-writes'
const PATIENCE_MS = 3000

export async function claimTab(events: TabEvents): Promise<TabLock> {
  // Without locks the revisions in the store still keep tabs from overwriting each other.
  if (!navigator.locks) return { mine: true, takeOver: () => undefined }
  const channel = new BroadcastChannel(NAME)
  let letGo: (() => void) | null = null
  const hold = () =>
    new Promise<void>((resolve) => {
      letGo = resolve
    })
  const lost = () => {
    letGo = null
    events.onLost()
  }
  /** Only a hung tab is robbed; when it wakes it says so and stands in line like any other. */
  const robbed = () => {
    if (letGo === null) return
    lost()
    wait()
  }
  const wait = () =>
    void navigator.locks
      .request(NAME, () => {
        events.onMine()
        return hold()
      })
      .catch(robbed)
  channel.onmessage = async () => {
    const go = letGo
    if (go === null) return
    await events.onAsked()
    lost()
    go()
    wait()
  }
  const mine = await new Promise<boolean>((resolve) => {
    navigator.locks
      .request(NAME, { ifAvailable: true }, (lock) => {
        resolve(lock !== null)
        return lock === null ? undefined : hold()
      })
      .catch(robbed)
  })
  if (!mine) wait()
  return {
    mine,
    takeOver() {
      channel.postMessage('asked')
      setTimeout(() => {
        if (letGo !== null) return
        navigator.locks
          .request(NAME, { steal: true }, () => {
            events.onMine()
            return hold()
          })
          .catch(robbed)
      }, PATIENCE_MS)
    },
  }
}
