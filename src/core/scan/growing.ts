/** Typed arrays that grow while a text is read, where the final count is not known beforehand. */
export class GrowingFloats {
  length = 0
  #data = new Float64Array(3072)
  push3(x: number, y: number, z: number): void {
    if (this.length + 3 > this.#data.length) this.#data = grown(this.#data, new Float64Array(this.#data.length * 2))
    this.#data[this.length++] = x
    this.#data[this.length++] = y
    this.#data[this.length++] = z
  }
  /** What was pushed, as a view: good until the next push. */
  values(): Float64Array {
    return this.#data.subarray(0, this.length)
  }
}

export class GrowingIndices {
  length = 0
  #data = new Uint32Array(3072)
  push(v: number): void {
    if (this.length === this.#data.length) this.#data = grown(this.#data, new Uint32Array(this.#data.length * 2))
    this.#data[this.length++] = v
  }
  values(): Uint32Array {
    return this.#data.subarray(0, this.length)
  }
}

function grown<T extends Float64Array | Uint32Array>(from: T, to: T): T {
  to.set(from)
  return to
}
