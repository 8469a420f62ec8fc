/** The side: figures, fittings, remarks; and the row of looks under the picture. */
import type { Comment, OwnersData } from './data'

/** A file that the job takes in: `mouldwright-comments`. */
export interface CommentsFile {
  readonly format: 'mouldwright-comments'
  readonly version: 1
  readonly jobHash: string
  readonly comments: readonly Omit<Comment, 'state'>[]
}

export interface PanelHooks {
  look(name: 'around' | 'helm'): void
  night(on: boolean): void
  choose(fitting: string | null): void
}

type Child = Node | string

function element<K extends keyof HTMLElementTagNameMap>(
  tag: K,
  more: Partial<Record<string, string>> = {},
  ...children: Child[]
): HTMLElementTagNameMap[K] {
  const made = document.createElement(tag)
  for (const [name, value] of Object.entries(more)) if (value !== undefined) made.setAttribute(name, value)
  made.append(...children)
  return made
}

export function makePanel(data: OwnersData, hooks: PanelHooks): void {
  const aside = document.querySelector('aside')!
  const mine: Omit<Comment, 'state'>[] = []
  const list = element('ul', { id: 'remarks' })
  const show = () => {
    list.replaceChildren(
      ...[...data.comments, ...mine.map((c) => ({ ...c, state: 'open' as const }))].map((c) =>
        element(
          'li',
          {},
          c.text,
          element('br'),
          element(
            'small',
            {},
            `${c.author}${c.fitting ? `, about ${nameOf(data, c.fitting)}` : ''}${c.state === 'settled' ? ', settled' : ''}`,
          ),
        ),
      ),
    )
    save.hidden = mine.length === 0
  }
  const save = element('button', { type: 'button', id: 'save' }, 'Save my remarks as a file')
  save.addEventListener('click', () => {
    const file: CommentsFile = { format: 'mouldwright-comments', version: 1, jobHash: data.hash, comments: mine }
    const url = URL.createObjectURL(new Blob([JSON.stringify(file, null, 2)], { type: 'application/json' }))
    element('a', { href: url, download: 'remarks.json' }).click()
    setTimeout(() => URL.revokeObjectURL(url), 60_000)
  })
  aside.append(
    element('h1', {}, data.title),
    element('p', { class: 'quiet' }, `revision ${data.revision} · job ${data.hash.slice(0, 8)}`),
    element(
      'dl',
      {},
      ...data.figures.flatMap(([label, value]) => [element('dt', {}, label), element('dd', {}, value)]),
    ),
    element('h2', {}, 'Fittings'),
    fittingList(data, hooks),
    element('h2', {}, 'Remarks'),
    list,
    remarkForm(data, (comment) => {
      mine.push(comment)
      show()
    }),
    save,
    ...data.cautions.map((text) => element('p', {}, element('small', {}, text))),
  )
  document.querySelector('.looks')!.append(...looks(hooks))
  show()
}

const nameOf = (data: OwnersData, id: string): string => data.fittings.find((f) => f.id === id)?.name ?? id

function fittingList(data: OwnersData, hooks: PanelHooks): HTMLElement {
  const list = element('ul')
  let chosen: string | null = null
  for (const f of data.fittings) {
    if (f.name.endsWith(', twin')) continue
    const button = element('button', { type: 'button', 'aria-pressed': 'false' }, f.name)
    button.addEventListener('click', () => {
      chosen = chosen === f.id ? null : f.id
      for (const b of list.querySelectorAll('button'))
        b.setAttribute('aria-pressed', String(b === button && chosen !== null))
      hooks.choose(chosen)
    })
    list.append(element('li', {}, button, ...(f.comment ? [element('br'), element('small', {}, f.comment)] : [])))
  }
  return data.fittings.length > 0 ? list : element('p', { class: 'quiet' }, 'None.')
}

function remarkForm(data: OwnersData, add: (comment: Omit<Comment, 'state'>) => void): HTMLElement {
  const author = element('input', { name: 'author', maxlength: '100', required: '' })
  const text = element('textarea', { name: 'text', maxlength: '2000', rows: '3', required: '' })
  const about = element('select', { name: 'about' }, element('option', { value: '' }, 'the whole'))
  for (const f of data.fittings)
    if (!f.name.endsWith(', twin')) about.append(element('option', { value: f.id }, f.name))
  const form = element(
    'form',
    {},
    element('label', {}, 'your name', author),
    element('label', {}, 'about', about),
    element('label', {}, 'remark', text),
    element('button', { type: 'submit', id: 'add' }, 'Add the remark'),
  )
  form.addEventListener('submit', (event) => {
    event.preventDefault()
    const fitting = about.value === '' ? null : about.value
    const where = data.fittings.find((f) => f.id === fitting)?.at ?? null
    add({ author: author.value.trim(), text: text.value.trim(), at: new Date().toISOString(), where, fitting })
    text.value = ''
  })
  return form
}

function looks(hooks: PanelHooks): HTMLElement[] {
  const pressed = (b: HTMLElement, on: boolean) => b.setAttribute('aria-pressed', String(on))
  const around = element('button', { type: 'button', id: 'look-around', 'aria-pressed': 'true' }, 'All round')
  const helm = element('button', { type: 'button', id: 'look-helm', 'aria-pressed': 'false' }, 'From the helm')
  const night = element('button', { type: 'button', id: 'night', 'aria-pressed': 'false' }, 'Lights on, at night')
  const look = (name: 'around' | 'helm') => {
    pressed(around, name === 'around')
    pressed(helm, name === 'helm')
    hooks.look(name)
  }
  around.addEventListener('click', () => look('around'))
  helm.addEventListener('click', () => look('helm'))
  night.addEventListener('click', () => {
    const on = night.getAttribute('aria-pressed') !== 'true'
    pressed(night, on)
    document.body.classList.toggle('at-night', on)
    document.querySelector('main')!.classList.toggle('night', on)
    hooks.night(on)
  })
  return [around, helm, night]
}
