import type { ReactNode } from 'react'
import { Button, Dialog, Heading, Modal, ModalOverlay } from 'react-aria-components'
import type { MeshUse } from './actions'
import { columnWords, droppedWords } from './words'

export function SheetDialog(props: { title: string; onClose: () => void; testId: string; children: ReactNode }) {
  return (
    <ModalOverlay className="veil" isOpen isDismissable onOpenChange={(open) => !open && props.onClose()}>
      <Modal className="dialog-place">
        <Dialog className="dialog" data-testid={props.testId}>
          <Heading slot="title">{props.title}</Heading>
          {props.children}
        </Dialog>
      </Modal>
    </ModalOverlay>
  )
}

/** Keys and hints. */
export function HelpDialog({ onClose }: { onClose: () => void }) {
  return (
    <SheetDialog title={columnWords.keysTitle} onClose={onClose} testId="help-dialog">
      <dl className="rows keys">
        {columnWords.keys.map(([key, what]) => (
          <div key={key}>
            <dt>{key}</dt>
            <dd>{what}</dd>
          </div>
        ))}
      </dl>
      <p className="field-hint">
        Fields take 1 1/2in, 38mm, 3*12 as they come. Files may be dropped anywhere. All work stays on this machine.
      </p>
      <p className="links">
        <a className="link" href="./handbook.html" target="_blank" rel="noopener" data-testid="handbook">
          {columnWords.handbook}
        </a>
        <Button className="link" onPress={onClose}>
          close
        </Button>
      </p>
    </SheetDialog>
  )
}

export interface MeshQuestion {
  readonly names: readonly string[]
  answer(use: MeshUse | null): void
}

/** A mesh was dropped: is it the frame, or something to be fitted? */
export function MeshDialog({ question }: { question: MeshQuestion }) {
  const { names } = question
  return (
    <SheetDialog title={droppedWords.what(names)} onClose={() => question.answer(null)} testId="mesh-dialog">
      <p className="links tall">
        <Button className="boxed" autoFocus data-testid="use-as-scan" onPress={() => question.answer('scan')}>
          {droppedWords.scan}
        </Button>
        <Button className="boxed" data-testid="use-as-more-scan" onPress={() => question.answer('more-scan')}>
          {droppedWords.more}
        </Button>
        <Button className="boxed" data-testid="use-as-fitting" onPress={() => question.answer('fitting')}>
          {droppedWords.fitting(names.length)}
        </Button>
        {names.length === 1 &&
          (['underside', 'topside'] as const).map((role) => (
            <Button key={role} className="boxed" data-testid={`use-as-${role}`} onPress={() => question.answer(role)}>
              {droppedWords.shell(role)}
            </Button>
          ))}
        <Button className="link" onPress={() => question.answer(null)}>
          {droppedWords.none(names.length)}
        </Button>
      </p>
      <p className="field-hint">{droppedWords.hint}</p>
    </SheetDialog>
  )
}
