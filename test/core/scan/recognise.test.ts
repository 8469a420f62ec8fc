import { strToU8 } from 'fflate'
import { describe, expect, it } from 'vitest'
import { loadMesh } from '../../../src/core/scan'
import { random } from '../../support/random'
import { refusal } from '../../support/refusals'
import { file } from '../../support/write-mesh-files'

const refused = (content: string | Uint8Array) => refusal(() => loadMesh(file('thing.stl', content), { axes: 'part' }))

describe('recognise', () => {
  it('an empty file, and one of white space', () => {
    expect(refused('').code).toBe('file-empty')
    expect(refused(' \r\n\t\n').code).toBe('file-empty')
    expect(refused('\ufeff').code).toBe('file-empty')
  })

  it('texts that are no mesh, each with what it is where that can be said', () => {
    expect(refused('Dear customer,\nplease find attached…\n'.repeat(20)).code).toBe('file-unknown')
    expect(refused('{"title": "a list"}').message).toContain('JSON')
    expect(refused('<!DOCTYPE html><html>404</html>').message).toContain('web page')
    expect(refused('ISO-10303-21;\nHEADER;\n').message).toContain('STEP')
    expect(refused('OFF\n8 6 0\n').code).toBe('file-unsupported')
    expect(refused(strToU8('\u0000')).code).toBe('file-unknown')
    expect(refused(new Uint8Array([0xff, 0xfe, 0x73, 0, 0x6f, 0])).message).toContain('two bytes per character')
  })

  it('noise is no mesh', () => {
    const rng = random(5)
    for (let i = 0; i < 50; i++) {
      const r = refused(Uint8Array.from({ length: 1 + rng.below(5000) }, () => rng.below(256)))
      expect(['file-unknown', 'file-damaged']).toContain(r.code)
    }
  })
})
