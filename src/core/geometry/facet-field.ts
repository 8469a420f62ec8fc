import { facetCount, type Mesh } from './mesh'

/** One number per facet of one mesh, with its unit. NaN where a facet has no answer (no area, or out of range). */
export interface FacetField {
  readonly meshId: string
  readonly unit: 'mm' | 'deg' | 'mm2' | 'min'
  readonly values: Float32Array
}

/** @throws a defect if the field does not fit the mesh */
export function facetField(mesh: Mesh, values: Float32Array, unit: FacetField['unit']): FacetField {
  if (values.length !== facetCount(mesh))
    throw new Error('geometry: a facet field needs one value per facet of its mesh')
  return { meshId: mesh.id, unit, values }
}

/** Guards every place that joins a field with a mesh: a field of another mesh is a defect of ours. */
export function assertFieldOf(mesh: Mesh, field: FacetField): void {
  if (field.meshId !== mesh.id) throw new Error('geometry: this facet field belongs to another mesh')
}
