/** A photo as the page's script shows it large: words are ready to be shown, shares are of the upright picture. */
export interface ViewedPhoto {
  readonly file: string;
  readonly mark: string;
  readonly deed: string;
  readonly widthPx: number;
  readonly heightPx: number;
  /** Whether its pictures are in the page. */
  readonly shown: boolean;
  readonly levelled: boolean;
  readonly said: readonly Said[];
  readonly measured: readonly (readonly [name: string, value: string])[];
  /** Widths of the sharpest edges in eight directions over the width from which a photo counts as blurred. */
  readonly edges?: readonly (number | null)[];
  readonly tiles: Tiles;
  /** Of the subject: closed lines of x, y, x, y, ..., shares. */
  readonly outline?: readonly (readonly number[])[];
  /** What is drawn over it before anything is asked for. */
  readonly layers: readonly LayerName[];
  /** The same spot at full size here and in a good photo: ids of the pieces. */
  readonly compared?: { readonly own: string; readonly good: string; readonly goodFile: string };
  /** The place of the good photo taken from nearest, and words for how near. */
  readonly nearest?: { readonly place: number; readonly words: string };
}

export type LayerName = "burnt" | "soft" | "outline";

/** What is said of a photo. */
export interface Said {
  readonly message: string;
  readonly figures?: string;
  readonly advice: string;
  readonly note: boolean;
}

/** On a grid over the picture, row by row. */
export interface Tiles {
  readonly columns: number;
  readonly rows: number;
  /** Share of pixels that are burnt out, percent. */
  readonly burnt: readonly number[];
  /** Fine over mid detail, percent of the finest tile's; null where there is no structure. */
  readonly fine: readonly (number | null)[];
}
