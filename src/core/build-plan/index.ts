export { buildStep } from './build'
export { CORES, FABRICS, RESINS } from './materials'
export type * from './types'
export { INLETS } from './types'
