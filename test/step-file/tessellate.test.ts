import { readFileSync } from 'node:fs'
import { createRequire } from 'node:module'
import { dirname, join } from 'node:path'
import start, { type SolidReader } from 'occt-import-js'
import { beforeAll, describe, expect, it } from 'vitest'
import { readPart } from '../../src/core/fitting'
import { drain } from '../../src/core/geometry/kernel'
import { Refused } from '../../src/core/geometry/trouble'
import { type FromReader, type ReaderLink, readStepFile } from '../../src/step-file/guarded'
import { facesStated, importWords, isStepFile, tessellate } from '../../src/step-file/tessellate'
import { file } from '../support/write-mesh-files'
import { frustum, stepText } from '../support/write-step'

/** Files that other programs wrote, which the reading library brings along for its own tests. */
const FOREIGN = join(dirname(createRequire(import.meta.url).resolve('occt-import-js/package.json')), 'test/testfiles')
const foreign = (path: string) => file(path, new Uint8Array(readFileSync(join(FOREIGN, path))))

let reader: SolidReader
beforeAll(async () => {
  reader = await start({ print: () => {}, printErr: () => {} })
})
const ours = (unit: 'mm' | 'm' | 'in', scale: number) =>
  file('plinth.step', stepText('plinth', frustum(80 / scale, 60 / scale, 45 / scale), unit))

describe('STEP files', () => {
  it.each([
    ['mm', 1],
    ['m', 1000],
    ['in', 25.4],
  ] as const)('brings %s to millimetres with the volume known on paper', (unit, scale) => {
    const made = tessellate(reader, ours(unit, scale))
    expect(made.size_mm.map((v) => Math.round(v * 1e4) / 1e4)).toEqual([80, 80, 45])
    expect(made.volume_mm3).toBeCloseTo((45 * (80 * 80 + 80 * 60 + 60 * 60)) / 3, 1)
    expect(made).toMatchObject({ faces: 6, facesRead: 6, solids: 1, closed: true, facets: 12 })
    expect(importWords('plinth.step', made)).toEqual({
      text: 'plinth.step is 80.0 × 80.0 × 45.0 mm, one solid of 6 faces.',
      plain: true,
    })
  })

  it('states millimetres in what it hands on, the same bytes each time', () => {
    const [a, b] = [tessellate(reader, ours('in', 25.4)), tessellate(reader, ours('in', 25.4))]
    expect(a.bytes).toEqual(b.bytes)
    const part = drain(readPart({ file: { name: 'plinth.step', bytes: a.bytes }, unit: 'auto' }))
    expect(part).toMatchObject({ unit: 'mm', unitFrom: 'file', closed: true, rejected: 0 })
  })

  it.each([
    ['cube-units/cube-mm.step', [1000, 1000, 1000], 1e9],
    ['cube-units/cube-in.step', [1000, 1000, 1000], 1e9],
    ['cube-units/cube-m.step', [1000, 1000, 1000], 1e9],
    ['cube-10x10mm/Cube 10x10.stp', [10, 10, 10], 1000],
  ] as const)('reads a foreign %s within 0.5 %%', (path, size, volume) => {
    const made = tessellate(reader, foreign(path))
    for (const k of [0, 1, 2]) expect(Math.abs(made.size_mm[k]! / size[k]! - 1)).toBeLessThan(1e-6)
    expect(Math.abs(made.volume_mm3 / volume - 1)).toBeLessThan(0.005)
    expect(made).toMatchObject({ closed: true, facesRead: made.faces })
  })

  it.each(['rounded-cube/rounded-cube.step', 'conical-surface/conical-surface.step'])(
    'keeps the volume of the round faces of a foreign %s within 0.5 %% of a drawing ten times finer',
    (path) => {
      const { bytes, name } = foreign(path)
      const made = tessellate(reader, { name, bytes })
      const fine = reader.ReadStepFile(bytes, {
        linearUnit: 'millimeter',
        linearDeflectionType: 'absolute_value',
        linearDeflection: 0.005,
        angularDeflection: 0.03,
      })
      let six = 0
      for (const { attributes, index } of fine.meshes)
        for (let f = 0; f < index.array.length; f += 3) {
          const [a, b, c] = [0, 1, 2].map((k) =>
            attributes.position.array.slice(3 * index.array[f + k]!, 3 * index.array[f + k]! + 3),
          )
          six +=
            a![0]! * (b![1]! * c![2]! - b![2]! * c![1]!) +
            a![1]! * (b![2]! * c![0]! - b![0]! * c![2]!) +
            a![2]! * (b![0]! * c![1]! - b![1]! * c![0]!)
        }
      expect(Math.abs((6 * made.volume_mm3) / six - 1)).toBeLessThan(0.005)
      expect(made.facesRead).toBe(made.faces)
    },
  )

  it('says which faces are missing, by the text of the file and not by the word of the library', () => {
    const whole = ours('mm', 1)
    const text = new TextDecoder().decode(whole.bytes)
    // One face less in its shell, as damage makes it: the library still reports success.
    const torn = file(whole.name, text.replace(/CLOSED_SHELL\('',\((#\d+),/, "CLOSED_SHELL('',("))
    const made = tessellate(reader, torn)
    expect(made).toMatchObject({ faces: 6, facesRead: 5, closed: false })
    expect(importWords(torn.name, made).text).toMatch(/1 of its 6 faces did not come out.*does not close/)
  })

  it('refuses what is cut off, and what holds no surface', () => {
    const { bytes, name } = ours('mm', 1)
    const codeOf = (cut: Uint8Array) => {
      try {
        tessellate(reader, { name, bytes: cut })
        return 'read'
      } catch (error) {
        return error instanceof Refused ? error.refusal.code : String(error)
      }
    }
    expect(codeOf(bytes.subarray(0, bytes.length / 2))).toBe('file-damaged')
    const empty = new TextDecoder().decode(bytes).replace(/DATA;[\s\S]*ENDSEC;\nEND/, 'DATA;\nENDSEC;\nEND')
    expect(['file-damaged', 'file-unsupported']).toContain(codeOf(new TextEncoder().encode(empty)))
  })

  it('knows a STEP file by its first line, and counts entities only', () => {
    expect(isStepFile(ours('mm', 1).bytes)).toBe(true)
    expect(isStepFile(new TextEncoder().encode('solid ISO-10303-21;'))).toBe(false)
    expect(
      facesStated(new TextEncoder().encode("#1=PRODUCT('ADVANCED_FACE(');\n#2 = ADVANCED_FACE ('',(#3),#4,.T.);")),
    ).toBe(1)
  })
})

describe('the reader in its worker', () => {
  const given = { name: 'part.step', bytes: new Uint8Array(1) }
  function host(reply: (link: { say: (m: FromReader) => void; die: (why: string) => void }) => void) {
    const state = { ended: 0, ring: () => {}, calledOff: 0 }
    const open = (): ReaderLink => {
      const on = { say: (_: FromReader) => {}, die: (_: string) => {} }
      return {
        post: () => reply({ say: (m) => on.say(m), die: (w) => on.die(w) }),
        onMessage: (receive) => Object.assign(on, { say: receive }),
        onDeath: (receive) => Object.assign(on, { die: receive }),
        end: () => state.ended++,
      }
    }
    const after = (_: number, call: () => void) => {
      state.ring = call
      return () => state.calledOff++
    }
    return { state, host: { open, after } }
  }

  it('gives up past its time limit and ends the worker', async () => {
    const { state, host: slow } = host(() => {})
    const going = readStepFile(given, slow)
    state.ring()
    await expect(going).rejects.toMatchObject({ refusal: { code: 'too-large' } })
    expect(state.ended).toBe(1)
  })

  it('turns a reader that dies or breaks into one sentence about the file', async () => {
    for (const reply of [
      host(({ die }) => die('out of memory')),
      host(({ say }) => say({ kind: 'broke', message: 'null function or function signature mismatch' })),
    ]) {
      await expect(readStepFile(given, reply.host)).rejects.toMatchObject({
        refusal: { code: 'file-damaged', message: expect.stringContaining('part.step cannot be read') },
      })
      expect(reply.state).toMatchObject({ ended: 1, calledOff: 1 })
    }
  })
})
