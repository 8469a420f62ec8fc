import { expect, test } from 'vitest'
import { applyEdit, parseCommentsFile, startHistory, takeComments, undo } from '../../../src/core/job'
import { jobWith } from '../../state/results-at-hand'

const remark = {
  author: 'O. Owner',
  text: 'The hatch should open forward.',
  at: '2026-05-04T08:00:00Z',
  where: [1, 2, 3],
  fitting: 'gone',
}
const file = (comments: unknown) =>
  JSON.stringify({ format: 'mouldwright-comments', version: 1, jobHash: 'ab'.repeat(32), comments })

test('remarks come in once, as one undo; a fitting that is gone is left out', () => {
  const edit = takeComments(parseCommentsFile(file([remark, { ...remark, text: 'And a hook.' }])))
  const once = applyEdit(startHistory(jobWith()), edit)
  expect(once.job.comments.map((c) => [c.id, c.text, c.fitting, c.state])).toEqual([
    ['remark', 'The hatch should open forward.', null, 'open'],
    ['remark-2', 'And a hook.', null, 'open'],
  ])
  expect(applyEdit(once, edit).job).toBe(once.job)
  expect(undo(once).job.comments).toEqual([])
})

test.each([
  ['no JSON', 'hello'],
  ['another file', '{"format":"x"}'],
  ['a key too many', file([{ ...remark, html: '<b>' }])],
  ['no author', file([{ ...remark, author: '' }])],
])('refuses %s in one sentence', (_, text) => {
  expect(() => parseCommentsFile(text)).toThrow(/not a file of remarks/)
})
