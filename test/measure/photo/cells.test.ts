import { describe, expect, it } from "vitest";
import { withArena } from "#goodgate/kernels/arena.js";
import {
  codeOfEnergy,
  codeOfLight,
  ENERGY_OF_CODE,
  fillCells,
  LIGHT_OF_CODE,
  luminanceOfCell,
} from "#goodgate/measure/photo/cells.js";
import { fillSurface, takeSurface } from "#goodgate/measure/photo/surface.js";
import type { Cells } from "#goodgate/types/photo.js";
import type { RgbImage } from "#goodgate/types/pixels.js";
import { rgb } from "../../support/arrays.js";

function cellsOf({ width, height, data }: RgbImage): Cells {
  return withArena((arena) => {
    const surface = takeSurface(width, height, arena);
    fillSurface(surface, arena.copy(data));
    return fillCells(surface, 0);
  });
}

describe("codes of cells", () => {
  it("keep light to a thirty-second of a stop over 15 stops", () => {
    expect(LIGHT_OF_CODE[codeOfLight(1)]).toBe(1);
    expect(LIGHT_OF_CODE[codeOfLight(0.5)]).toBe(0.5);
    for (let stops = -15; stops <= 0; stops += 0.173) {
      expect(Math.abs(Math.log2(LIGHT_OF_CODE[codeOfLight(2 ** stops)]) - stops)).toBeLessThanOrEqual(1 / 32);
    }
  });

  it("keep energies to a sixteenth of a stop, and tell nothing from little", () => {
    for (const energy of [0.01, 0.3, 1, 57, 4096]) {
      expect(Math.abs(Math.log2(ENERGY_OF_CODE[codeOfEnergy(energy)] / energy))).toBeLessThanOrEqual(1 / 16);
    }
    expect(codeOfEnergy(0)).toBe(0);
    expect(codeOfEnergy(-3)).toBe(0);
    expect(codeOfLight(0)).toBe(0);
  });
});

describe("cells of a photo", () => {
  it("lie 80 along the long side, whichever it is", () => {
    const wide = cellsOf(rgb(640, 480, () => [90, 90, 90]));
    const tall = cellsOf(rgb(480, 640, () => [90, 90, 90]));
    expect([wide.columns, wide.rows, tall.columns, tall.rows]).toEqual([80, 60, 60, 80]);
  });

  it("a flat picture has one light and no structure", () => {
    const cells = cellsOf(rgb(640, 480, () => [188, 188, 188]));
    // IEC 61966-2-1: code 188 is .502886 of white; the nearest code stands for .5.
    for (let i = 0; i < 80 * 60; i++) expect(luminanceOfCell(cells, i)).toBeCloseTo(0.5, 6);
    expect(cells.fine.every((code) => code === 0)).toBe(true);
    expect(cells.saturated.every((code) => code === 0)).toBe(true);
  });

  it("a bright spot smaller than a cell shows in its brightest and barely in its mean", () => {
    // 8 x 8 px a cell, a spot of 4 x 4 px in the cell of column 10, row 5.
    const cells = cellsOf(
      rgb(640, 480, (x, y) => (x >= 80 && x < 84 && y >= 40 && y < 44 ? [255, 255, 255] : [100, 100, 100])),
    );
    const spot = 5 * 80 + 10;
    expect(cells.brightest[spot]).toBe(255);
    expect(cells.saturated[spot]).toBe(Math.round(255 / 4));
    // A quarter of white and three of code 100 (.127438): .345578.
    expect(Math.abs(Math.log2(luminanceOfCell(cells, spot) / 0.345578))).toBeLessThan(1 / 32 + 1e-6);
    expect(cells.brightest[spot + 1]).toBe(cells.green[spot + 1]);
  });
});
