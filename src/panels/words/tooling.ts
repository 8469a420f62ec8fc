/** Words of the tooling slip. */
export const toolingWords = {
  addCutter: 'one more cutter, half as large',
  removeCutter: 'take this cutter out',
  smaller: (diameter: number) => `ball ${diameter}`,
  setUps: 'further set-ups',
  noSetUps: 'straight down only',
  setUp: (n: number) => `set-up ${n}, towards the spindle`,
  addSetUp: 'one more set-up',
  removeSetUp: 'take this set-up out',
  acceleration: (axis: string) => `Acceleration ${axis}, mm/s²`,
  machine: { rapid_mm_min: 'Rapid, mm a minute', toolChange_s: 'Tool change, s', setup_h: 'Setting up a piece, h' },
  factors: ['Machine time × at best', 'Machine time × likely', 'Machine time × at worst'],
} as const
