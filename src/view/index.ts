export { Sheet } from './sheet'
export { SheetStill, type SheetStillProps } from './still'
export { sheetWords } from './words'
