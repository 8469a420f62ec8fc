/** Every word of column, batten, slips and release page that is not made of figures. Translating begins here. */

export * from './analysis'
export * from './build'
export * from './clearance'
export * from './column'
export * from './datum-pose'
export * from './defects'
export * from './fitting'
export * from './frame'
export * from './release'
export * from './scan'
export * from './tooling'
export * from './tour'
