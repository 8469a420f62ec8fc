/** Cautions that stand in the report, the traveller and on the page where the number stands. Usual trade cautions; no figures. */
export const CAUTIONS = {
  scope:
    'These figures prove shape and nothing else. Structural adequacy, the vessel’s stability (a top adds weight high up) and electrical work are for licensed people and local codes.',
  dust: 'Cutting, sanding and trimming glass laminate or tooling board makes harmful dust: extraction at the tool, respirator, eye protection.',
  resin:
    'Resins, peroxide hardeners, methacrylate adhesives and solvents burn and harm lungs, skin and eyes: ventilate, wear gloves and eye protection, keep away from sparks, follow the safety data sheet. Never mix peroxide with accelerator directly.',
  exotherm:
    'Thick putty and large mixes of resin heat up by themselves and can catch fire: small batches, thin layers, nothing left in the pot.',
  lifting: 'Lifting a top on to a frame is work for a hoist or a team with a plan; nobody stands under it.',
} as const
