import { version } from '../../package.json'

/** Name and version of the program, as they stand in reports and packs. */
export const PROGRAM = `Mouldwright ${version}`
