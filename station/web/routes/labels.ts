import { Router } from "express";
import { z } from "zod";
import { LABEL_SIZES, type LabelSize, type LabelsView } from "../../model/label.js";
import type { LabelsAsked } from "../../trials/plans/plan-labels.js";
import { valid, wholeNumber } from "../validate.js";

export interface LabelsService {
  labels(plan: string, asked: LabelsAsked): Promise<LabelsView>;
  /** Single-line drawings of the codes of a plan that were not cut yet, or of one specimen. */
  codesOf(plan: string): Promise<readonly string[]>;
  engraved(codes: readonly string[], heightMm: number, format: "svg" | "dxf"): string;
}

const TYPES = { svg: "image/svg+xml", dxf: "image/vnd.dxf" } as const;
const millimetres = z
  .string()
  .regex(/^\d{1,4}(\.\d{1,3})?$/, "millimetres")
  .transform(Number);
const sizes = Object.fromEntries(Object.keys(LABEL_SIZES).map((size) => [size, millimetres])) as Record<
  LabelSize,
  typeof millimetres
>;
const labelsSchema = z.strictObject({
  ...sizes,
  used: wholeNumber(0, 9999).default(0),
  base: z.string().regex(/^https?:\/\/[^\s/?#]{1,100}$/, "the address of the station, as http://name:port"),
});
const planSchema = z.object({ id: z.uuid("the id of a plan") });
const drawingSchema = z.object({ format: z.enum(["svg", "dxf"]) });
const heightSchema = z.strictObject({ height: millimetres.pipe(z.number().min(1).max(100)).default(4) });
const codeSchema = z.object({
  code: z.string().regex(/^[ACEFHJKMNPRTWXY3479]{5}$/, "the code of a specimen"),
});

export function labelRoutes(service: LabelsService): Router {
  const routes = Router();
  routes.get("/plans/:id/labels", async (request, response) => {
    const { id } = valid(planSchema, request.params, "address");
    const { used, base, ...sheet } = valid(labelsSchema, request.query, "query");
    response.json(await service.labels(id, { sheet, used, base }));
  });
  routes.get("/plans/:id/codes.:format", async (request, response) => {
    const { id } = valid(planSchema, request.params, "address");
    const codes = await service.codesOf(id);
    send(request.params, request.query, response, codes, "codes");
  });
  routes.get("/specimens/:code/code.:format", (request, response) => {
    const { code } = valid(codeSchema, request.params, "address");
    send(request.params, request.query, response, [code], code);
  });
  return routes;

  function send(
    params: unknown,
    query: unknown,
    response: Parameters<Parameters<typeof routes.get>[1]>[1],
    codes: readonly string[],
    name: string,
  ): void {
    const { format } = valid(drawingSchema, params, "address");
    const { height } = valid(heightSchema, query, "query");
    response.type(TYPES[format]);
    response.set("Content-Disposition", `attachment; filename="${name}.${format}"`);
    response.send(service.engraved(codes, height, format));
  }
}
