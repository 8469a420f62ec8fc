import type { KeyboardEvent } from 'react'

/** Groups inside a drawing cannot be `button` elements; they answer to pointer, Enter and blank all the same. */
export const asButton = (press: () => void, otherKey?: (e: KeyboardEvent) => void) =>
  ({
    role: 'button',
    tabIndex: 0,
    onClick: press,
    onKeyDown(e: KeyboardEvent) {
      if (e.key !== 'Enter' && e.key !== ' ') {
        otherKey?.(e)
        return
      }
      e.preventDefault()
      press()
    },
  }) as const
