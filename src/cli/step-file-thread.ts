/** A thread of the command line that reads one STEP file. */
import { parentPort } from 'node:worker_threads'
import { answer } from '../step-file/answer'
import type { StepFile } from '../step-file/tessellate'

const port = parentPort
if (!port) throw new Error('cli: step-file-thread runs only as a thread')
port.on('message', (file: StepFile) => void answer(file).then((message) => port.postMessage(message)))
