/** Words of the first look: three pencil notes on the sheet. */
export const tourWords = {
  name: 'a first look',
  of: (at: number, all: number) => `${at} of ${all}`,
  notes: [
    'Three people ask a question each. The answer is the sentence under it; a click asks another.',
    'A ring is something that was found. Click it: the drawing goes there and is cut open. Drag turns it.',
    'The steps of the work. One that sinks has something to settle; a click opens its settings. To begin with your own frame, drop its scan anywhere.',
  ],
  next: 'next',
  close: 'close',
} as const
