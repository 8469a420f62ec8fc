/**
 * Colour scales as data: perceptually even and safe for colour-blind eyes. Hex triples, evenly spaced from the low end up,
 * joined by straight lines. Cividis: J. R. Nuñez, C. R. Anderton, R. S. Renslow, PLoS ONE 13(7) e0199239, 2018, here 17
 * samples of a fifth-degree fit to it. Viridis: 17 samples of its public-domain (CC0) table of 2015.
 */
export type Rgb = readonly [number, number, number]

const table = (text: string): readonly Rgb[] =>
  text.split(' ').map((hex) => {
    const n = Number.parseInt(hex, 16)
    return [n >> 16, (n >> 8) & 255, n & 255]
  })

export const CIVIDIS = table(
  '002051 012b65 11366c 26426e 3c4d6e 51586e 62646f 727071 7f7c75 8c8877 9a9478 a9a177 bbaf71 cebd68 e2cb5c f3da4f fdea45',
)

export const VIRIDIS = table(
  '440154 48186a 472d7b 424086 3b528b 33638d 2c728e 26828e 21918c 1fa088 28ae80 3fbc73 5ec962 84d44b addc30 d8e219 fde725',
)

/** Brown falls short of the limit, paper is the limit, blue is beyond: told apart with any common colour vision deficiency. */
export const BROWN_BLUE = table(
  '5a3510 7d4e1a a06c2c c1904f d9b984 ebdcc0 f3efe6 dde6ec bfd4e4 9cbcd9 76a1cb 5185b8 3168a0',
)
