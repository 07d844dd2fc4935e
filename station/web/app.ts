import { join } from "node:path";
import express, { type Express } from "express";
import helmet from "helmet";
import type { Log } from "../log.js";
import { type Gate, letIn, mayReadMetrics, signWithOwnName, takeOwnNamesOnly } from "./gate.js";
import { answerProblems, noSuchAddress, pageForPeople, tellProblem } from "./problem.js";
import { type AccessService, accessRoutes } from "./routes/access.js";
import { type AlarmsService, alarmRoutes } from "./routes/alarms.js";
import { type BackupsService, backupRoutes } from "./routes/backups.js";
import { type CautionsService, cautionRoutes } from "./routes/cautions.js";
import { type DecisionsService, decisionRoutes } from "./routes/decisions.js";
import { type ExportsService, exportRoutes } from "./routes/exports.js";
import { type JournalService, journalRoutes } from "./routes/journal.js";
import { type LabelsService, labelRoutes } from "./routes/labels.js";
import { type LotsService, lotRoutes } from "./routes/lots.js";
import { type MarksService, markRoutes } from "./routes/marks.js";
import { type MetricsService, metricsRoute } from "./routes/metrics.js";
import { type NowService, nowRoutes } from "./routes/now.js";
import { type OutwardService, outwardRoutes } from "./routes/outward.js";
import { type PastRunsService, pastRunRoutes } from "./routes/past-runs.js";
import { type PhotosService, photoRoutes } from "./routes/photos.js";
import { type PlansService, planRoutes } from "./routes/plans.js";
import { type ProcessService, processRoutes } from "./routes/process.js";
import { type ReviewService, reviewRoutes } from "./routes/review.js";
import { type RunsService, runRoutes } from "./routes/runs.js";
import { type SetupService, setupRoutes } from "./routes/setup.js";
import { type TablesService, tableRoutes } from "./routes/tables.js";
import { type WorkshopService, workshopRoutes } from "./routes/workshop.js";

export interface Services {
  readonly now: NowService;
  readonly process: ProcessService;
  readonly runs: RunsService;
  readonly lots: LotsService;
  readonly plans: PlansService;
  readonly decisions: DecisionsService;
  readonly labels: LabelsService;
  readonly photos: PhotosService;
  readonly pastRuns: PastRunsService;
  readonly review: ReviewService;
  readonly workshop: WorkshopService;
  readonly alarms: AlarmsService;
  readonly outward: OutwardService;
  readonly cautions: CautionsService;
  readonly marks: MarksService;
  readonly journal: JournalService;
  readonly backups: BackupsService;
  readonly setup: SetupService;
  readonly tables: TablesService;
  readonly exports: ExportsService;
  readonly metrics: MetricsService;
  readonly access: AccessService;
}

/** Addresses that the pages answer by themselves. */
export const PAGES = [
  "/",
  "/runs",
  "/runs/:id",
  "/past-runs",
  "/grey-card",
  "/plans",
  "/plans/:id",
  "/plans/:id/labels",
  "/lots",
  "/lots/:id",
  "/history",
  "/coolant",
  "/alarms",
  "/alarms/performance",
  "/alarms/settings/:id",
  "/safety",
  "/checklists/:id",
  "/journal",
  "/grade",
  "/s/:code",
  "/s/:code/photo/:photo",
  "/plans/:id/decision",
  "/settings-sheet/:lot",
  "/workshop",
  "/setup",
  "/calibrate",
  "/review",
  "/review/runs/:id",
  "/review/materials",
  "/review/drift",
  "/review/method",
  "/access",
  "/deeds",
  "/sign-in",
  "/pin",
  "/pair",
];

/** Builds the web application; listening is the caller's. @param pagesFolder where the built pages lie */
export function createApp(services: Services, gate: Gate, pagesFolder: string, log: Log): Express {
  const app = express();
  app.disable("x-powered-by");
  app.set("query parser", "simple");
  app.use(
    helmet({
      contentSecurityPolicy: {
        useDefaults: false,
        directives: {
          defaultSrc: ["'self'"],
          // Scripts and styles are files of the station's own: nothing that stands in the text of a page runs.
          scriptSrc: ["'self'"],
          scriptSrcAttr: ["'none'"],
          styleSrc: ["'self'"],
          connectSrc: ["'self'"],
          // A photo that waits to be sent is shown from the page's own memory.
          imgSrc: ["'self'", "data:", "blob:"],
          objectSrc: ["'none'"],
          baseUri: ["'none'"],
          formAction: ["'self'"],
          frameAncestors: ["'none'"],
        },
      },
      // The station speaks plain HTTP on the workshop's own network; a pinned https would lock its owner out.
      strictTransportSecurity: false,
    }),
  );
  app.use(takeOwnNamesOnly(gate));
  app.use("/api", (_request, response, next) => {
    response.set("Cache-Control", "no-store");
    next();
  });
  app.use("/api", letIn(gate));
  // A body that is packed is not unpacked: what is small on the way could be large here.
  app.use("/api", express.json({ limit: "64kb", inflate: false }));
  app.use("/api", signWithOwnName);
  app.use("/api", (_request, response, next) => {
    const { state } = services.journal.view().soundness;
    // For programs; people read it on the page.
    if (state !== "sound") response.set("Journal-Soundness", state);
    next();
  });
  app.use(
    "/api",
    nowRoutes(services.now),
    processRoutes(services.process),
    runRoutes(services.runs),
    lotRoutes(services.lots),
    planRoutes(services.plans),
    decisionRoutes(services.decisions),
    labelRoutes(services.labels),
    photoRoutes(services.photos),
    pastRunRoutes(services.pastRuns),
    reviewRoutes(services.review),
    workshopRoutes(services.workshop),
    alarmRoutes(services.alarms),
    outwardRoutes(services.outward),
    cautionRoutes(services.cautions),
    markRoutes(services.marks),
    journalRoutes(services.journal),
    backupRoutes(services.backups),
    setupRoutes(services.setup),
    tableRoutes(services.tables),
    exportRoutes(services.exports),
    accessRoutes(services.access),
  );
  app.use("/api", noSuchAddress);
  app.get("/problems/:code", tellProblem);
  app.get("/metrics", mayReadMetrics(gate), metricsRoute(services.metrics, gate.access.hashes));
  app.use("/assets", express.static(join(pagesFolder, "assets"), { immutable: true, maxAge: "1y" }));
  app.use(express.static(pagesFolder, { index: false }));
  app.get(PAGES, (_request, response) => {
    response.sendFile("index.html", { root: pagesFolder });
  });
  app.use(pageForPeople(pagesFolder));
  app.use(noSuchAddress);
  app.use(answerProblems(log));
  return app;
}
