export { Sheet } from './sheet'
export { sheetWords } from './words'
