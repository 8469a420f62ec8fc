/** Words of the list of a scan's defects. */
export const defectWords = {
  title: (count: number) => (count === 1 ? 'One place to look at' : `${count} places to look at`),
  hole: (number: number, rim: string) => `hole ${number}, rim ${rim}`,
  stray: (number: number, area: string, facets: string) => `stray piece ${number}, ${area}, ${facets} facets`,
  crossing: (number: number) => `crossing edges ${number}`,
  turned: (number: number) => `turned facets ${number}`,
  hint: 'The drawing flies there. Stray pieces that a repair has dropped are not drawn any more.',
  more: (count: number) => `and ${count} smaller ones`,
} as const
