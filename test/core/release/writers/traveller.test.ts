/** The traveller's page: every number marked, every mark explained, nothing from people becomes markup. */
import { describe, expect, it } from 'vitest'
import type { BuildResult } from '../../../../src/core/build-plan'
import { figure, line } from '../../../../src/core/build-plan/traced-line'
import { travellerHtml } from '../../../../src/core/release/writers/traveller'

const build: BuildResult = {
  shells: [],
  infusion: [],
  bond: null,
  order: [],
  mass_kg: 0,
  centre: [0, 0, 0],
  unweighed: [],
  templates: { trims: [], drills: [], tubes: [] },
  findings: [],
  panels: [],
  flats: [],
  rolls: [],
  cure: [],
  cost: 0,
  traveller: [
    line(
      'underside',
      'Gloves <on>.',
    )`Lay ${figure(3.456, 2, 'kg', 'area × weight', '4 m²')} & wet ${figure(2, 0, 'kg', 'share', 'half')}.`,
    line('joint')`Again ${figure(3.456, 1, 'kg', 'area × weight', '4 m²')}.`,
  ],
}

describe('traveller', () => {
  const html = travellerHtml(build, { title: 'A <b>top</b>', revision: 'B', hash: '0123456789ab', holds: ['too near'] })

  it('explains every number once, and marks each with its footnote', () => {
    expect([...html.matchAll(/<sup>(\d+)<\/sup>/g)].map((m) => m[1])).toEqual(['1', '2', '1'])
    expect(html.match(/<li>area × weight: 4 m²<\/li>/g)).toHaveLength(1)
    expect(html).toContain('<b title="share: half">2 kg</b>')
  })

  it('keeps names as text, says what stands, and needs no network', () => {
    expect(html).toContain('A &lt;b&gt;top&lt;/b&gt;')
    expect(html).toContain('Gloves &lt;on&gt;.')
    expect(html).toContain('<li>too near</li>')
    expect(html).toContain('job 01234567')
    expect(html).not.toMatch(/https?:|<script/)
  })
})
