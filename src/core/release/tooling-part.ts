import type { ToolingResult, ToolPlan } from '../tooling'

/** What the report says about tooling: everything but meshes, fields and the passes' points. Hours, kg, mm, money. */
export function toolingPart(tooling: ToolingResult | undefined): object | null {
  if (!tooling) return null
  const { choice, tools, boards, boardsLeast, total_h, cost } = tooling
  const { curve: _curve, ...chosen } = choice
  return { choice: chosen, boards, boardsLeast, total_h, cost, tools: tools.map(toolPart) }
}

function toolPart(tool: ToolPlan): object {
  const { solid, trim: _trim, left: _left, raster, contour, stock, ...rest } = tool
  return {
    ...rest,
    solid: { facets: solid.indices.length / 3, id: solid.id },
    passes: { sideBySide: raster.start.length - 1, level: contour.start.length - 1 },
    stock: {
      boards: stock.boards,
      leastBoards: stock.leastBoards,
      blank_mm3: stock.blank_mm3,
      glue_mm: stock.glue_mm,
      glueOnEdge_mm: stock.glueOnEdge_mm,
      sections: stock.sections,
      layers: stock.layers.map((l) => ({
        z0_mm: l.z0_mm,
        z1_mm: l.z1_mm,
        area_mm2: l.area_mm2,
        pieces: l.pieces.length,
      })),
    },
  }
}
