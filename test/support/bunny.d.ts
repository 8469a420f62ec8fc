/** The Stanford bunny as the package `bunny` ships it: 2,503 vertices, 4,968 facets, public domain. */
declare module 'bunny' {
  const mesh: {
    readonly positions: readonly [number, number, number][]
    readonly cells: readonly [number, number, number][]
  }
  export default mesh
}
