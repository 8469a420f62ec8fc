declare module 'occt-import-js' {
  export interface ReadFace {
    /** First and last facet of the face within its mesh. */
    readonly first: number
    readonly last: number
  }
  export interface ReadMesh {
    readonly name: string
    readonly attributes: { readonly position: { readonly array: readonly number[] } }
    readonly index: { readonly array: readonly number[] }
    readonly brep_faces: readonly ReadFace[]
  }
  export interface ReadSolids {
    readonly success: boolean
    readonly meshes: readonly ReadMesh[]
  }
  export interface SolidReader {
    ReadStepFile(
      bytes: Uint8Array,
      params: {
        linearUnit: 'millimeter'
        linearDeflectionType: 'absolute_value'
        linearDeflection: number
        angularDeflection: number
      },
    ): ReadSolids
  }
  export default function start(options?: {
    locateFile?: (name: string) => string
    print?: (line: string) => void
    printErr?: (line: string) => void
  }): Promise<SolidReader>
}
