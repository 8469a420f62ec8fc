export const keptWords = {
  planning: (name: string) => `Working out “${name}” again`,
  drawn: (name: string) => `The dashed line in the section is the inner surface of “${name}”.`,
  cannot: (name: string) => `“${name}” cannot be planned again.`,
  away: 'take it away',
} as const
