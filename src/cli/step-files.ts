/** STEP files of the command line: read in a thread of their own, and told about on standard error. */
import { createHash } from 'node:crypto'
import { basename } from 'node:path'
import type { MeshAsset } from '../core/job'
import type { FromReader, ReaderHost } from '../step-file/guarded'
import { readStepFile } from '../step-file/guarded'
import { importWords, isStepFile } from '../step-file/tessellate'
import { say } from './command'
import { threadOf } from './threads'

const NODE_READER: ReaderHost = {
  open: () => {
    const worker = threadOf('./step-file-thread.ts')
    return {
      post: (file) => worker.postMessage(file),
      onMessage: (receive) => worker.on('message', (message: FromReader) => receive(message)),
      onDeath: (receive) => worker.on('error', (error) => receive(error.message)),
      end: () => void worker.terminate(),
    }
  },
  after: (seconds, call) => {
    const timer = setTimeout(call, 1000 * seconds)
    return () => clearTimeout(timer)
  },
}

export interface TakenMesh {
  readonly bytes: Uint8Array
  /** Only of a file that was tessellated. */
  readonly original?: NonNullable<MeshAsset['original']>
}

/** The bytes of a mesh file as they are; of a STEP file those of its mesh. @throws Refused */
export async function meshBytes(path: string, bytes: Uint8Array): Promise<TakenMesh> {
  if (!isStepFile(bytes)) return { bytes }
  const name = basename(path)
  const mesh = await readStepFile({ name, bytes }, NODE_READER)
  say(importWords(name, mesh).text)
  const sha256 = createHash('sha256').update(bytes).digest('hex')
  return { bytes: mesh.bytes, original: { name, sha256, faces: mesh.faces, facesRead: mesh.facesRead } }
}
