export { Sheet } from './sheet'
export { SheetStill } from './still'
