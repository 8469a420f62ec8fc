/** The door of the step `scan`. */
export { type LoadedMesh, type LoadOptions, loadMesh } from './load-mesh'
export type { MeshFormat, RawMesh } from './raw-mesh'
export { readMeshFile } from './read-mesh-file'
export { recognise } from './recognise'
export { scanStep } from './scan'
export { thinReady } from './thin'
export {
  type FileFit,
  type FileRegister,
  type Health,
  type Hole,
  type LengthUnit,
  type MeshFile,
  MM_PER,
  type Rejected,
  type Repair,
  type ScanRequest,
  type ScanResult,
  type UnitReading,
} from './types'
export { guessUnit, type SizeOf } from './unit'
export { XmlScanner } from './xml-scanner'
