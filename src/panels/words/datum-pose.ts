/** Words of the datum slip: what is shown, how the scan stands, port against starboard. */

import type { Pose } from '../../state/pose-numbers'
import type { MirrorShown } from '../../state/session-store'

export const poseWords = {
  reading: 'Reading of the two sides',
  readings: { plan: 'plan view: heights may differ', match: 'best match: rolled until level' },
  notTold:
    'From this scan a lowered side and a roll cannot be told apart; put a level on the frame and type the matrix.',
  sides: { port: 'port', starboard: 'starboard' },
  lowered: (low: { side: string; by: string; at: string; roll: string }) =>
    `${low.side} hangs ${low.by} lower at ${low.at} from the centreline; a roll of ${low.roll} would level it`,
  portStarboard: 'Port against starboard',
  figures: {
    rms: 'mirror error, rms',
    p95: '95 % below',
    largest: 'largest',
    difference: 'port less starboard',
    unseen: 'not seen on one side',
    plane: 'plane known to',
    lowered: 'lowered side known to',
    from: 'plane from',
    pitch: 'pitch from',
    runnerUp: 'runner-up',
  },
  planeFrom: { tubes: 'tube axes', points: 'the surface', picks: 'picked places', matrix: 'your matrix' },
  off: (name: string, angle: string) => `${name}, ${angle} off`,
  matrix: 'Scan axes to job axes',
  matrixCaption: 'rotation and shift in millimetres, row by row',
  typeMatrix: 'type a matrix',
  findAgain: 'find it from the metal again',
  sixteen: 'sixteen numbers, row by row',
  use: 'use it',
  leave: 'leave it',
  shown: 'Shown on the metal',
  shownAs: { image: 'its mirror image', error: 'the mirror error', none: 'nothing' } satisfies Record<
    MirrorShown,
    string
  >,
  imageHint: (beyond: string) =>
    `Hatched: the mirror image stands out of the metal by more than ${beyond}, three times the noise. Plain blue: the other side was not seen.`,
  turn: 'Turn it round',
  turns: { round: 'bow and stern', over: 'top and bottom' },
  turnHint: 'Which end is forward cannot be read from the metal. On the drawing: B, U.',
  pose: 'Pose of the scan',
  origin: 'its origin forward, to port, up',
  turned: 'roll, pitch, yaw',
  order:
    'Turned about forward first (roll, port up), then about port (pitch, bow up), then about up (yaw, bow to port), then shifted.',
  typePose: 'type the pose',
  moveOn: 'turn or shift it further',
  moveOnHint: 'By so much from where it stands now, about the axes of the job. What a level shows may be typed here.',
  byHand: 'What is typed here makes the datum yours; it is no longer found from the metal.',
  fields: {
    x_mm: 'forward',
    y_mm: 'to port',
    z_mm: 'up',
    roll_deg: 'Roll',
    pitch_deg: 'Pitch',
    yaw_deg: 'Yaw',
  } satisfies Record<keyof Pose, string>,
  pairs: (count: number) => (count === 1 ? 'One pair of tubes' : `${count} pairs of tubes`),
  pairsCaption: (unit: string) => `port less starboard, ${unit}`,
  itself: (name: string) => `${name}, itself`,
} as const
