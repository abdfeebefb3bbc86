import { required } from "../required.js";

/** What is used of ml-matrix. */
export const { EigenvalueDecomposition, Matrix, solve } = required("ml-matrix") as typeof import("ml-matrix");
