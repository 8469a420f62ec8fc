/** Signs with the person's own key where one is open, and looks after the seals of the job that is open. */
import { Refused } from '../core/geometry/trouble'
import type { Signature } from '../core/job'
import { brokenSeals, fingerprint, makeKey, openKey, type PersonKey, seal } from '../press/keys'
import { sign, tryEdit } from '../state/edit'
import type { Stores } from '../state/stores'
import { download, fileName } from './download'

export interface Signing {
  /** Makes a key for a name and hands its file over; it signs in that name until the page is closed. */
  make(name: string): Promise<void>
  open(text: string): Promise<void>
  sign(signature: Omit<Signature, 'seal'>): Promise<void>
}

export function startSigning({ jobs, session }: Stores): Signing {
  let mine: (PersonKey & { readonly name: string }) | null = null
  const hold = (key: PersonKey & { readonly name: string }) => {
    mine = key
    session.setState({ key: { name: key.name, fingerprint: fingerprint(key.publicKey) } })
  }
  const look = async () => {
    const { signatures } = jobs.getState().history.job.release
    try {
      const broken = await brokenSeals(signatures)
      if (signatures !== jobs.getState().history.job.release.signatures) return
      session.setState({ brokenSeals: broken.map((s) => s.seal?.value ?? '') })
      const [first] = broken
      if (first)
        session.setState({
          notice: {
            kind: 'refused',
            text: `The signature of ${first.name} (${first.role}) does not fit its key: somebody changed it after it was made. Ask for it again.`,
          },
        })
    } catch (error) {
      if (!(error instanceof Refused)) throw error
      session.setState({ notice: { kind: 'refused', text: error.refusal.message } })
    }
  }
  jobs.subscribe((state, before) => {
    if (state.history.job.release.signatures !== before.history.job.release.signatures) void look()
  })
  void look()
  return {
    async make(name) {
      const { key, file } = await makeKey(name)
      download(
        `${fileName(name, 'key').replace(/-rev-key$/, '')}.mwkey`,
        new TextEncoder().encode(file),
        'application/json',
      )
      hold({ ...key, name })
    },
    async open(text) {
      hold(await openKey(text))
    },
    async sign(signature) {
      const sealed = mine?.name === signature.name ? await seal(signature, mine) : { ...signature, seal: null }
      tryEdit(jobs, sign(sealed))
    },
  }
}
