/**
 * JSON Schema of `report.json` (draft 2020-12), written into every pack and into `docs/report.schema.json`. Keys that others
 * rely on are required and typed; a step that was not worked out is null; more keys may stand beside the ones named here.
 */
type Schema = { readonly [key: string]: unknown }

const number: Schema = { type: 'number' }
/** JSON has neither infinity nor “not a number”: both are written as null, “not known”. */
const known: Schema = { type: ['number', 'null'] }
const count: Schema = { type: 'integer', minimum: 0 }
const text: Schema = { type: 'string' }
const sha256: Schema = { type: 'string', pattern: '^[0-9a-f]{64}$' }
const list = (items: Schema, length?: number): Schema => ({
  type: 'array',
  items,
  ...(length === undefined ? {} : { minItems: length, maxItems: length }),
})
const place = list(number, 3)
const object = (properties: Readonly<Record<string, Schema>>, optional: readonly string[] = []): Schema => ({
  type: 'object',
  properties,
  required: Object.keys(properties).filter((key) => !optional.includes(key)),
})
const orNull = (schema: Schema): Schema => ({ anyOf: [schema, { type: 'null' }] })

const mirrorError = object({ rms_mm: known, p95_mm: known, max_mm: known, unseen_mm2: known })

const check = object({
  mesh: object({
    facets: count,
    vertices: count,
    unit: text,
    closed: { type: 'boolean' },
    area_mm2: number,
    volume_mm3: number,
    boundaryLoops: count,
    islands: count,
    nonManifoldEdges: count,
    rejected: object({ total: count }),
  }),
  draft: object({ pull: place, min_deg: known, negative_mm2: number, low_mm2: number, good_mm2: number }),
  undercut: object({
    area_mm2: number,
    facingAway_mm2: number,
    blocked_mm2: number,
    depth_mm: known,
    regions: list({ type: 'object' }),
  }),
  symmetry: object({ plane: object({ normal: place, offset_mm: number }), ...(mirrorError['properties'] as object) }),
  radius: object({ min_mm: known, p01_mm: known }),
})

const finding = object(
  {
    id: text,
    step: text,
    severity: { enum: ['note', 'warning', 'hold'] },
    message: text,
    advice: text,
    where: place,
    value: known,
    limit: known,
    unit: text,
    remedy: object({ words: text, clearance: { type: 'object' } }),
    waived: object({ by: text, reason: text, at: text }),
  },
  ['advice', 'where', 'value', 'limit', 'unit', 'remedy', 'waived'],
)

const tube = object({
  id: text,
  axis: place,
  from: place,
  to: place,
  diameter_mm: number,
  rms_mm: number,
  length_mm: number,
  bow_mm: number,
  closed: { type: 'boolean' },
})

export const REPORT_SCHEMA: Schema = {
  $schema: 'https://json-schema.org/draft/2020-12/schema',
  $id: 'urn:mouldwright:report:1',
  title: 'report.json of a Mouldwright pack',
  description:
    'Lengths mm, areas mm2, volumes mm3, angles degrees, masses kg, times s unless the name of the key says otherwise; places in job axes (x forward, y to port, z up). null: not known, or not worked out.',
  ...object({
    program: text,
    job: object({ title: text, revision: text, settings: { type: 'object' } }),
    hash: sha256,
    scan: orNull(
      object({
        unit: text,
        facets: count,
        vertices: count,
        noise_mm: known,
        closed: { type: 'boolean' },
        fits: list({ type: 'object' }),
      }),
    ),
    datum: orNull(object({ matrix: list(number, 16), symmetry: mirrorError })),
    frame: object({ tubes: list(tube), plates: count }),
    clearance: orNull(
      object({
        required_mm: number,
        min_mm: known,
        margin_mm: known,
        at: object({ shell: place, frame: place }),
        verdict: { enum: ['proven', 'not-proven', 'fails', 'unseen'] },
        proven_mm2: number,
        notProven_mm2: number,
        fails_mm2: number,
        unseen_mm2: number,
        excessLift: object({ p50_mm: known, p95_mm: known }),
      }),
    ),
    fitting: orNull(object({ placed: list(object({ id: text, name: text })) })),
    asMade: { type: 'array', items: { type: 'object' } },
    analysis: { type: 'object', additionalProperties: check },
    tooling: orNull({ type: 'object' }),
    build: orNull({ type: 'object' }),
    findings: list(finding),
    holds: list(text),
    cautions: list(text),
    signatures: list(
      object({
        role: { enum: ['designer', 'owner', 'toolmaker'] },
        name: text,
        at: text,
        covers: sha256,
        publicKey: { type: ['string', 'null'] },
        stands: { type: ['boolean', 'null'] },
      }),
    ),
    timings_s: { type: 'object', additionalProperties: number },
  }),
}
