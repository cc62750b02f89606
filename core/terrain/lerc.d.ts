/** The part of the lerc package (3.0, without types of its own) that is used. */
declare module 'lerc' {
  interface Decoded {
    readonly pixels: readonly ArrayBufferView<ArrayBuffer>[]
    /** One a cell, 0 where there is no value; null where all cells have one. */
    readonly mask: Uint8Array | null
  }
  const Lerc: {
    decode(packed: ArrayBuffer, options: { returnPixelInterleavedDims: boolean }): Decoded
  }
  export default Lerc
}
