import { isClosedMesh } from '../geometry/closed-mesh'
import type { Mesh } from '../geometry/mesh'
import type { ReleaseResults } from './types'

/** Red, green, blue, 0…255, as a screen shows them (sRGB). */
export type Colour = readonly [number, number, number]

/** One body of the pack, with the name and colour it has in every file that can state them. */
export interface PackPart {
  readonly name: string
  readonly kind: 'frame' | 'shell' | 'face' | 'fitting' | 'tool'
  readonly colour: Colour
  readonly mesh: Mesh
  /** A closed solid; an open one is a surface only. */
  readonly closed: boolean
}

const COLOURS = {
  frame: [141, 152, 159],
  underside: [233, 226, 206],
  topside: [250, 246, 236],
  fitting: [27, 90, 148],
  twin: [72, 128, 176],
  tool: [201, 164, 92],
} as const satisfies Record<string, Colour>

/** The top on its frame, as it will stand: scan, both shells as solids, every fitting. Job axes, mm. */
export function wholeParts(results: ReleaseResults): readonly PackPart[] {
  const { datum } = results
  const frame: PackPart[] = datum
    ? [{ name: 'frame', kind: 'frame', colour: COLOURS.frame, mesh: datum.mesh, closed: false }]
    : []
  return [...frame, ...solidParts(results)]
}

/** Both shells as solids and every fitting. Job axes, mm. */
export function solidParts({ clearance, fitting }: ReleaseResults): readonly PackPart[] {
  const shells = clearance
    ? (['underside', 'topside'] as const).map(
        (name): PackPart => ({
          name: `${name} shell`,
          kind: 'shell',
          colour: COLOURS[name],
          mesh: clearance[name].solid,
          closed: true,
        }),
      )
    : []
  const fittings = (fitting?.placed ?? []).map(
    (p): PackPart => ({
      name: p.twin ? `${p.name}, twin` : p.name,
      kind: 'fitting',
      colour: p.twin ? COLOURS.twin : COLOURS.fitting,
      mesh: p.mesh,
      closed: isClosedMesh(p.mesh),
    }),
  )
  return [...shells, ...fittings]
}

/** Both moulded faces: surfaces, job axes, mm. */
export function faceParts({ clearance }: ReleaseResults): readonly PackPart[] {
  if (!clearance) return []
  return [
    {
      name: 'inner surface',
      kind: 'face',
      colour: COLOURS.underside,
      mesh: clearance.underside.face,
      closed: false,
    },
    { name: 'topside', kind: 'face', colour: COLOURS.topside, mesh: clearance.topside.face, closed: false },
  ]
}

/** The tools to be machined, each in its own axes (spindle along z), mm. */
export const toolParts = ({ tooling }: ReleaseResults): readonly PackPart[] =>
  (tooling?.tools ?? []).map((t) => ({
    name: `${t.made === 'plug' ? 'plug' : 'mould'} of the ${t.role}`,
    kind: 'tool',
    colour: COLOURS.tool,
    mesh: t.solid,
    closed: true,
  }))
