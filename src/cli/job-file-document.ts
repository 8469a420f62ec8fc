import { z } from 'zod'
import { jobSchema } from '../core/job'

interface Schema {
  readonly type?: string | readonly string[]
  readonly description?: string
  readonly default?: unknown
  readonly const?: unknown
  readonly enum?: readonly unknown[]
  readonly anyOf?: readonly Schema[]
  readonly oneOf?: readonly Schema[]
  readonly properties?: Readonly<Record<string, Schema>>
  readonly required?: readonly string[]
  readonly items?: Schema
  readonly prefixItems?: readonly Schema[]
  readonly additionalProperties?: Schema | boolean
  readonly minimum?: number
  readonly maximum?: number
  readonly pattern?: string
}

/** The text of `docs/job-file.md`: one table per part of the job, from the schema that reads it. */
export function jobFileDocument(): string {
  const schema = z.toJSONSchema(jobSchema, { io: 'input' }) as Schema
  const parts = Object.entries(schema.properties ?? {})
  const plain = parts.filter(([, s]) => !s.properties && !s.items?.properties)
  const nested = parts.filter(([, s]) => s.properties ?? s.items?.properties)
  return `${HEAD}
## The job

${table(plain, schema.required)}
${nested.map(([name, s]) => part(name, s)).join('\n')}
## Saved as one file

A \`.mwjob\` is a zip of \`job.json\` and \`assets/<sha256>\`; in it, and in memory, every mesh is named as
\`{ "asset": "<sha256>", "name": "frame.stl" }\`. In a plain folder a mesh may also be named by its path beside \`job.json\`.
Opening either gives the same job. A mesh whose SHA-256 differs from its name is refused.
`
}

const HEAD = `# The job file

Generated from \`src/core/job/schema.ts\` by \`npm run docs:job\`; do not edit by hand.

A job is one JSON document. Everything else (shells, certificate, reports) is worked out from it and from the meshes it
names, and may be thrown away at any time. An unknown key is refused, not swallowed. Every field with a default may be
left out; a job that names only its scan is whole:

    { "format": "mouldwright-job", "version": 1, "scan": { "files": ["frame.stl"] } }

Lengths are millimetres and angles degrees; the unit is in the name. \`at_mm\` is x, y in job axes (see
[axes-and-units.md](axes-and-units.md)).
`

function part(name: string, schema: Schema): string {
  const list = schema.items?.properties ? schema.items : schema
  const what = schema.items?.properties ? `## \`${name}\`, a list; each entry:` : `## \`${name}\``
  return `${what}\n\n${table(Object.entries(list.properties ?? {}), list.required)}`
}

function table(fields: readonly [string, Schema][], required: readonly string[] = []): string {
  const rows = fields.map(([name, s]) => {
    const fallback =
      'default' in s ? `\`${JSON.stringify(s.default)}\`` : required.includes(name) ? 'must be given' : ''
    return `| \`${name}\` | ${kind(s)} | ${fallback} | ${s.description ?? ''} |`
  })
  return `| key | value | default | meaning |\n| --- | --- | --- | --- |\n${rows.join('\n')}\n`
}

function kind(s: Schema): string {
  if (s.const !== undefined) return `\`${JSON.stringify(s.const)}\``
  if (s.enum) return s.enum.map((v) => `\`${JSON.stringify(v)}\``).join(' or ')
  const choices = s.anyOf ?? s.oneOf
  if (choices) return choices.map(kind).join(' or ')
  if (s.type === 'array') {
    if (s.prefixItems) return `[${s.prefixItems.map(kind).join(', ')}]`
    return s.items ? `list of ${kind(s.items)}` : 'list'
  }
  if (s.type === 'object') {
    if (typeof s.additionalProperties === 'object') return `object of ${kind(s.additionalProperties)} by name`
    const inner = Object.entries(s.properties ?? {}).map(([k, v]) => `\`${k}\`: ${kind(v)}`)
    return `{ ${inner.join(', ')} }`
  }
  if (s.type === 'number' || s.type === 'integer') {
    const bounded = Math.abs(s.minimum ?? -Infinity) < 1e9 && Math.abs(s.maximum ?? Infinity) < 1e9
    return bounded ? `number ${s.minimum} … ${s.maximum}` : 'number'
  }
  return typeof s.type === 'string' ? s.type : 'value'
}
