import type { ErrorRequestHandler, RequestHandler } from "express";
import { TooSoon } from "../access/too-soon.js";
import { AppError, ERRORS } from "../errors.js";
import type { Log } from "../log.js";
import type { Problem } from "../model/now.js";

/** RFC 9457 problem details of an error. What was not foreseen is told as little of as possible. */
export function problemOf(error: unknown): Problem {
  const known = error instanceof AppError ? error : (refusedByExpress(error) ?? unforeseen());
  return {
    type: `/problems/${known.code}`,
    title: known.title,
    status: known.status,
    detail: known.message,
    code: known.code,
    ...(known.errors.length > 0 ? { errors: known.errors } : {}),
  };
}

/** A person who mistyped an address gets the page, which says so; a program gets a problem. */
export function pageForPeople(pagesFolder: string): RequestHandler {
  return (request, response, next) => {
    if (request.method === "GET" && request.accepts(["json", "html"]) === "html") {
      response.status(404).sendFile("index.html", { root: pagesFolder });
    } else next();
  };
}

export const noSuchAddress: RequestHandler = (request, _response, next) => {
  next(new AppError("not-found", `There is nothing at ${request.method} ${request.path}.`));
};

/** What the type of a problem means, at the address that it gives. */
export const tellProblem: RequestHandler = (request, response, next) => {
  const known = Object.entries(ERRORS).find(([code]) => code === request.params.code);
  if (known === undefined) {
    noSuchAddress(request, response, next);
    return;
  }
  const [code, { status, title }] = known;
  response.type("text/plain").send(`${code} (${status}): ${title}\n`);
};

export function answerProblems(log: Log): ErrorRequestHandler {
  return (error, request, response, next) => {
    const problem = problemOf(error);
    if (problem.status >= 500) {
      log("error", "a request failed", {
        path: request.path,
        error: error instanceof Error ? (error.stack ?? "") : String(error),
      });
    }
    if (response.headersSent) {
      next(error);
      return;
    }
    if (error instanceof TooSoon) response.set("Retry-After", String(Math.ceil(error.waitMs / 1000)));
    response.status(problem.status);
    // Who is at the wrong address has no page that could show a problem.
    if (problem.code === "wrong-host" && request.accepts(["json", "html"]) === "html") {
      response.type("text/plain").send(`${problem.title}.\n\n${problem.detail}\n`);
    } else response.type("application/problem+json").send(JSON.stringify(problem));
  };
}

/** What express itself refuses: a body that is not JSON, too long, or an address that cannot be decoded. */
function refusedByExpress(error: unknown): AppError | null {
  if (!(error instanceof Error) || !("status" in error)) return null;
  const { status } = error;
  if (typeof status !== "number" || status < 400 || status >= 500) return null;
  const expected =
    "type" in error
      ? "a body of JSON text in UTF-8, not packed, at most 64 kB"
      : "an address that can be decoded";
  return new AppError("request-invalid", `The request could not be read: expected ${expected}.`, [
    { path: "(request)", expected },
  ]);
}

function unforeseen(): AppError {
  return new AppError(
    "internal",
    "The station made a mistake. Its log says more; nothing that was kept is lost.",
  );
}
