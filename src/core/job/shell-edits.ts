/** Edits of shells that are taken as they are, and of the way the top is lowered. */
import type { Edit } from './edits'
import type { AsMadeEntry, ImportedEntry, MeshAsset, ShellChoice } from './job'

export type ShellRole = keyof ShellChoice['imported']

/** What an imported shell is before anybody says more. */
export const plainShell = (mesh: MeshAsset): ImportedEntry => ({ mesh, unit: 'auto', axes: 'job', matrix: null })

export const importShell = (role: ShellRole, entry: ImportedEntry): Edit => ({
  title: `${entry.mesh.name} as the ${role}`,
  apply: (job) => ({
    ...job,
    clearance: { ...job.clearance, imported: { ...job.clearance.imported, [role]: entry } },
  }),
})

/** The shell is drawn again. */
export const drawShell = (role: ShellRole): Edit => ({
  title: `draw the ${role}`,
  apply: (job) => ({
    ...job,
    clearance: { ...job.clearance, imported: { ...job.clearance.imported, [role]: null } },
  }),
})

export const setApproach = (approach: ShellChoice['approach']): Edit => ({
  title: approach ? `approach ${approach.fromAhead_deg}° ahead, ${approach.fromPort_deg}° port` : 'straight down',
  apply: (job) => ({ ...job, clearance: { ...job.clearance, approach } }),
})

/** What a scan of something made is before anybody says more. */
export const plainAsMade = (mesh: MeshAsset, against: AsMadeEntry['against']): AsMadeEntry => ({
  mesh,
  unit: 'auto',
  against,
  of: 'part',
  start: 'any',
  tolerance_mm: 3,
})

export const addAsMade = (entry: AsMadeEntry): Edit => ({
  title: `${entry.mesh.name} against the ${entry.against}`,
  apply: (job) => ({ ...job, asMade: [...job.asMade, entry] }),
})

export const changeAsMade = (index: number, change: Partial<AsMadeEntry>): Edit => ({
  title: `as made: ${Object.keys(change)
    .map((k) => k.replace(/_mm$/, ''))
    .join(', ')}`,
  apply: (job) => ({ ...job, asMade: job.asMade.map((e, i) => (i === index ? { ...e, ...change } : e)) }),
})

export const removeAsMade = (index: number): Edit => ({
  title: 'as-made scan taken away',
  apply: (job) => ({ ...job, asMade: job.asMade.filter((_, i) => i !== index) }),
})
