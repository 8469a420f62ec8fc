import type { TracedFigure, TravellerLine } from './types'

/** A number with its unit, the formula it comes from and what went in. */
export const figure = (value: number, digits: number, unit: string, formula: string, inputs: string): TracedFigure => ({
  shown: `${fixed(value, digits)}${unit === '' ? '' : ` ${unit}`}`,
  formula,
  inputs,
})

/** No minus zero, and a minus that is one. */
export function fixed(value: number, digits: number): string {
  const text = value.toFixed(digits)
  return Number(text) === 0 ? text.replace('-', '') : text.replace('-', '−')
}

/** A line of the checklist from words and traced numbers: line('joint', caution)`Lay ${litres} of paste.` */
export const line =
  (stage: string, caution?: string) =>
  (words: TemplateStringsArray, ...figures: readonly (TracedFigure | string)[]): TravellerLine => {
    const parts: (string | TracedFigure)[] = []
    for (const [i, word] of words.entries()) {
      if (word !== '') parts.push(word)
      const next = figures[i]
      if (next !== undefined && next !== '') parts.push(next)
    }
    const traced = parts.filter((p) => typeof p !== 'string')
    return {
      stage,
      text: parts.map((p) => (typeof p === 'string' ? p : p.shown)).join(''),
      parts,
      from: [...new Set(traced.map((p) => p.formula))].join('; ') || 'order of the work, no number',
      ...(caution === undefined ? {} : { caution }),
    }
  }
