/** `npm run owner:make`: renews the built viewer of the owner's copy. */
import { writeFileSync } from 'node:fs'
import { buildViewer, VIEWER } from './build-viewer'

writeFileSync(VIEWER, await buildViewer())
