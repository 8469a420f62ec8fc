import { describe, expect, test } from 'vitest'
import { applyEdit, setClearance, startHistory, waive } from '../../src/core/job'
import { type Answer, answers } from '../../src/state/answers'
import { stepWeights } from '../../src/state/headlines'
import { changeStep } from '../../src/state/results'
import {
  datumWith,
  frameWith,
  hold,
  inputOf,
  jobWith,
  type Made,
  partWith,
  placedWith,
  scanWith,
  shellsWith,
  storeWith,
} from './results-at-hand'

const text = (answer: Answer) => answer.sentence.map((p) => p.text).join('')
const bold = (answer: Answer) => answer.sentence.filter((p) => p.strong).map((p) => p.text)
const figure = (answer: Answer, id: string) => answer.figures.find((f) => f.id === id)

const metal = (): Made => ({ scan: scanWith(), frame: frameWith(), datum: datumWith() })
const askedOf = (made: Made, job = jobWith()) => answers(inputOf(job, storeWith(job, made)))

describe('does it clear?', () => {
  test('proven: yes, with the least gap rounded down, and where it is', () => {
    const { clear } = askedOf({ ...metal(), clearance: shellsWith({ verdict: 'proven', min_mm: 12.69 }) })
    expect(clear.standing).toBe('ok')
    expect(clear.short).toBe('Yes, by 12.6 mm')
    expect(text(clear)).toBe(
      'Yes. Over all metal that was seen the gap is 12.6 mm or more; 12 is asked. Least over tube 4, forward to starboard.',
    )
    expect(bold(clear)).toEqual(['12.6 mm'])
    expect(figure(clear, 'least-gap')).toMatchObject({ value: '12.6', unit: 'mm', sub: '12 asked', bad: false })
    expect(figure(clear, 'unseen')).toMatchObject({ value: '310', unit: 'cm²', sub: '12 holes in the scan' })
    expect(figure(clear, 'symmetry')).toMatchObject({ value: '0.21', sub: 'rms; port 5.0 mm lower' })
  })

  test('nothing unseen: everywhere', () => {
    const { clear } = askedOf({ ...metal(), clearance: shellsWith({ verdict: 'proven', unseen_mm2: 0 }) })
    expect(text(clear)).toMatch(/^Yes, everywhere: the gap is 12\.6 mm or more/)
  })

  test('where tubes have gaps of their own, what is left over is the answer, and where it is least', () => {
    const clearance = shellsWith({
      verdict: 'proven',
      required_mm: 2,
      min_mm: 2.9,
      margin_mm: 0.66,
      marginAt: { shell: [-900, 500, 12.66], frame: [-900, 500, 0] },
    })
    const { clear } = askedOf({ ...metal(), clearance })
    expect(clear.short).toBe('Yes, 0.6 mm to spare')
    expect(text(clear)).toContain('there is 0.6 mm or more to spare. Least aft to port: 12.6 mm where 12 is asked.')
  })

  test('a gap just below what is asked never reads as what is asked', () => {
    const { clear } = askedOf({
      ...metal(),
      clearance: shellsWith({ verdict: 'fails', min_mm: 11.97, fails_mm2: 120 }),
    })
    expect(clear.standing).toBe('not')
    expect(text(clear)).toMatch(/^Not yet\. Over tube 4, forward to starboard, the gap is 11\.9 mm; 12 is asked\./)
    expect(figure(clear, 'least-gap')?.bad).toBe(true)
    expect(figure(clear, 'too-tight')).toMatchObject({ value: '1.2', bad: true })
  })

  test('not proven and unseen are almost: the scan cannot tell', () => {
    const unproven = askedOf({
      ...metal(),
      clearance: shellsWith({ verdict: 'not-proven', min_mm: 12.2, notProven_mm2: 15_900 }),
    }).clear
    expect(unproven.standing).toBe('almost')
    expect(text(unproven)).toContain('so 159 cm² is not proven')
    const unseen = askedOf({ ...metal(), clearance: shellsWith({ verdict: 'unseen', unseen_mm2: 9600 }) }).clear
    expect(unseen.short).toBe('Almost: 96 cm² unseen')
  })

  test('a side that cannot be told from a roll is not called lower', () => {
    const clearance = shellsWith({ verdict: 'proven' })
    const { clear } = askedOf({ ...metal(), datum: datumWith(5, false), clearance })
    expect(figure(clear, 'symmetry')?.sub).toBe('rms')
  })

  test('a hold keeps a proven gap from being a yes, until a named person waives it', () => {
    const made = {
      ...metal(),
      clearance: shellsWith({ verdict: 'proven' }, [hold('clearance.x', 'clearance', 'It bears.')]),
    }
    const job = jobWith()
    expect(askedOf(made, job).clear.standing).toBe('not')
    const waived = waive({ finding: 'clearance.x', by: 'a planker', reason: 'seen', at: '2026-11-25T08:00:00Z' }).apply(
      job,
    )
    const store = storeWith(job, made)
    const after = answers({ results: store.getState(), history: startHistory(waived), unit: 'mm' })
    expect(after.clear.standing).toBe('ok')
    expect(after.clear.findings.map((f) => f.id)).toEqual(['clearance.x'])
    expect(after.release.findings.map((f) => f.id)).toEqual(['clearance.x'])
    expect(after.release.standing).not.toBe('ok')
  })

  test('inches are fractions, kept exact underneath', () => {
    const job = jobWith({ clearance: { gap_mm: 12.7 } })
    const clearance = shellsWith({ verdict: 'proven', required_mm: 12.7, min_mm: 14.3 })
    const { clear } = answers(inputOf(job, storeWith(job, { ...metal(), clearance }), 'in'))
    // 14.3 mm is 36.03/64 in.
    expect(text(clear)).toContain('the gap is 9/16 in or more; 1/2 is asked')
  })
})

describe('while the job moves on', () => {
  test('the answer stays, and says what it is of and what is being worked out', () => {
    const job = jobWith({ clearance: { gap_mm: 14 } })
    const store = storeWith(job, { ...metal(), clearance: shellsWith({ verdict: 'proven' }) })
    const history = applyEdit(startHistory(job), setClearance({ gap_mm: 12 }))
    changeStep(store, 'clearance', { is: 'running', progress: { fraction: 0.4, label: 'crown' } })
    const { clear } = answers({ results: store.getState(), history, unit: 'mm' })
    expect(clear.asOf).toBe('as of 14 mm gap')
    expect(clear.short).toBe('as of 14 mm gap')
    expect(clear.busy).toEqual({ step: 'clearance', label: 'crown', fraction: 0.4 })
    expect(figure(clear, 'least-gap')?.value).toBe('12.6')
    const weight = stepWeights({ results: store.getState(), history, unit: 'mm' }).find((w) => w.step === 'clearance')
    expect(weight).toMatchObject({ state: 'running', fraction: 0.4, headline: 'was 12.6 mm' })
  })

  test('nothing yet: it waits for the step that is furthest along', () => {
    const job = jobWith()
    const store = storeWith(job, { scan: scanWith() })
    changeStep(store, 'frame', { is: 'running', progress: { fraction: 0.2, label: 'tubes' } })
    const all = answers(inputOf(job, store))
    expect(all.clear).toMatchObject({ standing: 'open', short: 'working it out', busy: { step: 'frame' } })
    expect(all.live.figures).toEqual([])
  })

  test('a refusal is passed on in its own words', () => {
    const job = jobWith()
    const store = storeWith(job, metal())
    const refusal = { code: 'shape-impossible', message: 'the skirt is deeper than the legs; ask for less.' } as const
    changeStep(store, 'clearance', { is: 'refused', refusal })
    const { clear } = answers(inputOf(job, store))
    expect(text(clear)).toBe('Not yet. The skirt is deeper than the legs; ask for less.')
    expect(stepWeights(inputOf(job, store)).find((w) => w.step === 'clearance')).toMatchObject({
      state: 'hold',
      headline: 'cannot',
    })
    expect(clear.halted).toBe(false)
  })

  test('a refusal names settings as the shop does, and only the step that refuses holds', () => {
    const job = jobWith()
    const store = storeWith(job, { ...metal(), clearance: shellsWith({ verdict: 'proven' }), fitting: placedWith([]) })
    const refusal = {
      code: 'setting-impossible',
      message: 'clearance: minRadius_mm is 900, it must be between 1 and 100 mm.',
    } as const
    for (const name of ['clearance', 'fitting', 'analysis'] as const)
      changeStep(store, name, { is: 'refused', refusal })
    const { clear } = answers(inputOf(job, store))
    expect(text(clear)).toBe('Not yet. Least radius is 900, it must be between 1 and 100 mm.')
    const weights = stepWeights(inputOf(job, store))
    expect(weights.filter((w) => w.headline === 'cannot').map((w) => w.step)).toEqual(['clearance'])
    expect(weights.find((w) => w.step === 'fitting')).toMatchObject({
      state: 'stale',
      holds: 0,
      headline: 'was 0 parts',
    })
    expect(weights.find((w) => w.step === 'analysis')).toMatchObject({ state: 'unmade', headline: 'waits' })
  })

  test('what was stopped can be asked for again', () => {
    const job = jobWith()
    const store = storeWith(job, metal())
    expect(answers(inputOf(job, store)).clear).toMatchObject({ halted: true, short: 'not worked out yet' })
  })
})

describe('can I live with it?', () => {
  const shells = () => ({ ...metal(), clearance: shellsWith({ verdict: 'proven' }) })

  test('names what stands nearest to the frame, rounded down', () => {
    const fitting = placedWith([
      ['lamp', 53.7],
      ['equipment box', 34.09],
    ])
    const { live } = askedOf({ ...shells(), fitting })
    expect(text(live)).toBe('Yes. All 2 parts stand free. The nearest to the frame is the equipment box, 34.0 mm away.')
    expect(figure(live, 'between')).toMatchObject({ value: '146', sub: 'lamp and equipment box' })
  })

  test('one hold is almost, two are not yet, and the number of the first is bold', () => {
    const holds = [
      hold('fitting.a', 'fitting', 'The post hides 7.3° of the light.'),
      hold('fitting.b', 'fitting', 'It clashes.'),
    ]
    const one = askedOf({ ...shells(), fitting: placedWith([['lamp', 50]], holds.slice(0, 1)) }).live
    expect(one.standing).toBe('almost')
    expect(bold(one)).toEqual(['7.3°'])
    const two = askedOf({ ...shells(), fitting: placedWith([['lamp', 50]], holds) }).live
    expect(two.short).toBe('Not yet: two holds')
  })

  test('nothing fitted is nothing in the way', () => {
    expect(askedOf({ ...shells(), fitting: placedWith([]) }).live.short).toBe('Yes, nothing fitted')
  })
})

describe('will it come off?', () => {
  const shells = () => ({ ...metal(), clearance: shellsWith({ verdict: 'proven' }) })

  test('draft that is the asked one within the promised exactness reads as asked', () => {
    const analysis = {
      parts: [partWith('underside', { minDraft_deg: 2.9996 }), partWith('topside')],
      asMade: [],
      findings: [],
    }
    const { off } = askedOf({ ...shells(), analysis })
    expect(off.standing).toBe('ok')
    expect(figure(off, 'least-draft')).toMatchObject({ value: '3.0', unit: '°', bad: false })
  })

  test('draft that is short by more is shown short', () => {
    const analysis = {
      parts: [partWith('underside', { minDraft_deg: 2.98 }), partWith('topside')],
      asMade: [],
      findings: [],
    }
    const { off } = askedOf({ ...shells(), analysis })
    expect(off.standing).toBe('almost')
    expect(figure(off, 'least-draft')).toMatchObject({ value: '2.9', bad: true })
  })

  test('locked area is summed over the parts and placed where most of it is', () => {
    const region = (area_mm2: number, y: number) => ({
      area_mm2,
      facets: 9,
      at: [0, y, 0] as const,
      depth_mm: 3,
      cause: 'facing-away' as const,
      ownPull: null,
      min_deg: -2.33,
      looseFrees: null,
      meetsAfter_mm: null,
    })
    const analysis = {
      parts: [
        partWith('underside', { locked_mm2: 1700, regions: [region(1700, 300)] }),
        partWith('topside', { locked_mm2: 69_500, regions: [region(69_500, -880)] }),
      ],
      asMade: [],
      findings: [],
    }
    const { off } = askedOf({ ...shells(), analysis })
    expect(off.short).toBe('No: locked on 712 cm²')
    expect(text(off)).toBe(
      'Not in one pull. 712 cm² is locked, most of it amidships to starboard, where the topside leans in by 2.4°.',
    )
    expect(figure(off, 'locked')?.sub).toBe('in two regions')
  })
})

describe('the line of steps', () => {
  test('says each headline number, and holds as holds', () => {
    const job = jobWith()
    const store = storeWith(job, {
      ...metal(),
      clearance: shellsWith({ verdict: 'fails', min_mm: 9.44 }, [hold('clearance.fails', 'clearance', 'Too tight.')]),
    })
    const weights = stepWeights(inputOf(job, store))
    const of = (step: string) => weights.find((w) => w.step === step)
    expect(of('scan')?.headline).toBe('1.02 M facets')
    expect(of('frame')?.headline).toBe('one tube')
    expect(of('clearance')).toMatchObject({ state: 'hold', holds: 1, headline: 'hold: 9.4 mm' })
    expect(of('fitting')).toMatchObject({ state: 'unmade', headline: 'to do' })
    expect(of('release')).toMatchObject({ headline: '0 of 3' })
    expect(weights[0]?.step).toBe('scan')
    expect(weights.at(-1)?.step).toBe('release')
  })
})
