/**
 * `npm run bench [-- facets]`: every bench, one after the other, each in a process of its own so that none inherits the
 * memory of another. Ours and the obvious way stand in the same run; read the ratios, not the milliseconds.
 */
import { spawnSync } from 'node:child_process'
import { cpus, totalmem } from 'node:os'
import { fileURLToPath } from 'node:url'

const facets = process.argv[2] ?? '1000000'
console.log(
  `${cpus().length} cores (${cpus()[0]?.model ?? 'unknown'}), ${(totalmem() / 2 ** 30).toFixed(0)} GiB, Node ${process.version}`,
)
for (const name of ['plan', 'clearance', 'undercut', 'tooling', 'filling', 'yields']) {
  console.log(`\n— ${name}`)
  const file = fileURLToPath(new URL(`./${name}.ts`, import.meta.url))
  spawnSync('npx', ['--no-install', 'tsx', file, facets], { stdio: 'inherit' })
}
