/** One thing that can be done, as a link in a line of its own. */
import type { ReactNode } from 'react'

interface LinkRowProps {
  readonly children: ReactNode
  readonly testId?: string
  readonly onClick: () => void
}

export const LinkRow = ({ children, testId, onClick }: LinkRowProps) => (
  <p className="links">
    <button type="button" className="link" data-testid={testId} onClick={onClick}>
      {children}
    </button>
  </p>
)
