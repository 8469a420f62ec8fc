/** All that core assumes of its host beyond the language itself. Each line is a promise that page, worker and Node keep. */
declare class TextDecoder {
  constructor(label?: string, options?: { fatal?: boolean })
  decode(bytes?: Uint8Array, options?: { stream?: boolean }): string
}
declare class TextEncoder {
  encode(text: string): Uint8Array<ArrayBuffer>
}
