/**
 * A small writer of STEP files (ISO 10303-21, AP214) for tests: one solid with plane faces, written out from its corners, so
 * that volume and size are known on paper. `unit` is what the numbers are in.
 */

export interface Polyhedron {
  readonly corners: readonly (readonly [number, number, number])[]
  /** Corner numbers of each face, counter-clockwise from outside. */
  readonly faces: readonly (readonly number[])[]
}

const UNITS = {
  mm: ['(LENGTH_UNIT() NAMED_UNIT(*) SI_UNIT(.MILLI.,.METRE.))'],
  m: ['(LENGTH_UNIT() NAMED_UNIT(*) SI_UNIT($,.METRE.))'],
  in: [
    '(LENGTH_UNIT() NAMED_UNIT(*) SI_UNIT(.MILLI.,.METRE.))',
    'DIMENSIONAL_EXPONENTS(1.,0.,0.,0.,0.,0.,0.)',
    'LENGTH_MEASURE_WITH_UNIT(LENGTH_MEASURE(25.4),#@0)',
    "(CONVERSION_BASED_UNIT('INCH',#@2) LENGTH_UNIT() NAMED_UNIT(#@1))",
  ],
} as const

const real = (v: number): string => (Number.isInteger(v) ? `${v}.` : String(v))

export function stepText(name: string, { corners, faces }: Polyhedron, unit: keyof typeof UNITS): string {
  const lines: string[] = []
  const put = (entity: string): string => {
    lines.push(`#${lines.length + 1}=${entity};`)
    return `#${lines.length}`
  }
  const point = (p: readonly number[]) => put(`CARTESIAN_POINT('',(${p.map(real).join(',')}))`)
  const way = (p: readonly number[]) => put(`DIRECTION('',(${p.map(real).join(',')}))`)
  const minus = (a: readonly number[], b: readonly number[]) => a.map((v, k) => v - b[k]!)
  const norm = (a: readonly number[]) => Math.hypot(...a)
  const over = (a: readonly number[], by: number) => a.map((v) => v / by)
  const cross = (a: readonly number[], b: readonly number[]) => [
    a[1]! * b[2]! - a[2]! * b[1]!,
    a[2]! * b[0]! - a[0]! * b[2]!,
    a[0]! * b[1]! - a[1]! * b[0]!,
  ]
  const vertices = corners.map((c) => put(`VERTEX_POINT('',${point(c)})`))
  const edges = new Map<string, string>()
  const oriented = (a: number, b: number): string => {
    const there = edges.get(`${a} ${b}`)
    if (there) return put(`ORIENTED_EDGE('',*,*,${there},.T.)`)
    const back = edges.get(`${b} ${a}`)
    if (back) return put(`ORIENTED_EDGE('',*,*,${back},.F.)`)
    const along = minus(corners[b]!, corners[a]!)
    const line = put(`LINE('',${point(corners[a]!)},${put(`VECTOR('',${way(over(along, norm(along)))},1.)`)})`)
    const edge = put(`EDGE_CURVE('',${vertices[a]},${vertices[b]},${line},.T.)`)
    edges.set(`${a} ${b}`, edge)
    return put(`ORIENTED_EDGE('',*,*,${edge},.T.)`)
  }
  const shell = faces.map((face) => {
    const [a, b, c] = face.map((k) => corners[k]!)
    const along = minus(b!, a!)
    const normal = cross(along, minus(c!, b!))
    const loop = face.map((k, i) => oriented(k, face[(i + 1) % face.length]!))
    const bound = put(`FACE_OUTER_BOUND('',${put(`EDGE_LOOP('',(${loop.join(',')}))`)},.T.)`)
    const axes = put(
      `AXIS2_PLACEMENT_3D('',${point(a!)},${way(over(normal, norm(normal)))},${way(over(along, norm(along)))})`,
    )
    return put(`ADVANCED_FACE('',(${bound}),${put(`PLANE('',${axes})`)},.T.)`)
  })
  const solid = put(`MANIFOLD_SOLID_BREP('${name}',${put(`CLOSED_SHELL('',(${shell.join(',')}))`)})`)
  const units: string[] = []
  for (const entity of UNITS[unit]) units.push(put(entity.replaceAll(/#@(\d)/g, (_, k) => units[Number(k)]!)))
  const angle = put('(NAMED_UNIT(*) PLANE_ANGLE_UNIT() SI_UNIT($,.RADIAN.))')
  const solidAngle = put('(NAMED_UNIT(*) SI_UNIT($,.STERADIAN.) SOLID_ANGLE_UNIT())')
  const tolerance = put(`UNCERTAINTY_MEASURE_WITH_UNIT(LENGTH_MEASURE(1.E-7),${units.at(-1)},'','')`)
  const context = put(
    `(GEOMETRIC_REPRESENTATION_CONTEXT(3) GLOBAL_UNCERTAINTY_ASSIGNED_CONTEXT((${tolerance})) GLOBAL_UNIT_ASSIGNED_CONTEXT((${units.at(-1)},${angle},${solidAngle})) REPRESENTATION_CONTEXT('',''))`,
  )
  const origin = put(`AXIS2_PLACEMENT_3D('',${point([0, 0, 0])},${way([0, 0, 1])},${way([1, 0, 0])})`)
  const shape = put(`ADVANCED_BREP_SHAPE_REPRESENTATION('',(${origin},${solid}),${context})`)
  const app = put("APPLICATION_CONTEXT('automotive_design')")
  const product = put(`PRODUCT('${name}','${name}','',(${put(`PRODUCT_CONTEXT('',${app},'mechanical')`)}))`)
  const definition = put(
    `PRODUCT_DEFINITION('','',${put(`PRODUCT_DEFINITION_FORMATION('','',${product})`)},${put(`PRODUCT_DEFINITION_CONTEXT('',${app},'design')`)})`,
  )
  put(`SHAPE_DEFINITION_REPRESENTATION(${put(`PRODUCT_DEFINITION_SHAPE('','',${definition})`)},${shape})`)
  return [
    'ISO-10303-21;',
    'HEADER;',
    "FILE_DESCRIPTION((''),'2;1');",
    `FILE_NAME('${name}.step','2026-01-01T00:00:00',(''),(''),'','','');`,
    "FILE_SCHEMA(('AUTOMOTIVE_DESIGN { 1 0 10303 214 1 1 1 1 }'));",
    'ENDSEC;',
    'DATA;',
    ...lines,
    'ENDSEC;',
    'END-ISO-10303-21;',
    '',
  ].join('\n')
}

/** A frustum with square ends: side `a` at z = 0, `b` at `height`, about the z axis. Volume: height (a² + ab + b²) / 3. */
export function frustum(a: number, b: number, height: number): Polyhedron {
  const ring = (s: number, z: number) =>
    (
      [
        [-s, -s],
        [s, -s],
        [s, s],
        [-s, s],
      ] as const
    ).map(([x, y]) => [x / 2, y / 2, z] as const)
  return {
    corners: [...ring(a, 0), ...ring(b, height)],
    faces: [[3, 2, 1, 0], [4, 5, 6, 7], ...[0, 1, 2, 3].map((k) => [k, (k + 1) % 4, 4 + ((k + 1) % 4), 4 + k])],
  }
}
