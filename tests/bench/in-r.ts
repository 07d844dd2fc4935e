import { spawnSync } from "node:child_process";
import { REVIEW_CONDITIONS, type ReviewRun } from "../../station/model/review.js";

/** The Firth model by hand, in base R: modified scores (Firth 1993), tests by penalised likelihood ratio (Heinze and Schemper 2002), `p.adjust` for Holm. */
const SCRIPT = `
data <- read.csv(file("stdin"))
penalised <- function(x, y, held = integer(0)) {
  beta <- rep(0, ncol(x)); free <- setdiff(seq_len(ncol(x)), held)
  value <- function(beta) {
    p <- plogis(drop(x %*% beta))
    information <- crossprod(x, x * (p * (1 - p)))
    d <- determinant(information)$modulus
    sum(plogis(drop(x %*% beta) * (2 * y - 1), log.p = TRUE)) + as.numeric(d) / 2
  }
  best <- value(beta)
  for (step in 1:200) {
    p <- plogis(drop(x %*% beta)); w <- p * (1 - p)
    inverse <- tryCatch(solve(crossprod(x, x * w)), error = function(e) NULL)
    if (is.null(inverse)) break
    h <- rowSums((x %*% inverse) * x) * w
    score <- crossprod(x, y - p + h * (0.5 - p))[free]
    move <- rep(0, ncol(x))
    move[free] <- tryCatch(solve(crossprod(x, x * w)[free, free, drop = FALSE], score), error = function(e) 0)
    if (max(abs(move)) > 5) move <- move * 5 / max(abs(move))
    for (half in 1:30) { now <- value(beta + move); if (is.finite(now) && now >= best - 1e-12) break; move <- move / 2 }
    beta <- beta + move
    done <- abs(now - best) < 1e-10 && max(abs(move)) < 1e-6
    best <- now
    if (done) break
  }
  best
}
found <- 0
for (one in split(data, data$history)) {
  x <- as.matrix(one[, setdiff(names(one), c("history", "through"))])
  x <- cbind(1, scale(x)); y <- one$through
  if (any(!is.finite(x)) || length(unique(y)) < 2 || nrow(x) <= ncol(x)) next
  full <- penalised(x, y)
  p <- sapply(3:ncol(x), function(k) pchisq(max(0, 2 * (full - penalised(x, y, k))), 1, lower.tail = FALSE))
  if (p.adjust(p, "holm")[1] <= 0.05) found <- found + 1
}
cat(found)
`;

/**
 * In how many histories a model with all conditions, fitted in R, finds the one that matters.
 * @param condition its id
 * @returns null where this machine has no R
 */
export function foundByR(histories: readonly (readonly ReviewRun[])[], condition: string): number | null {
  const ids = [condition, ...Object.keys(REVIEW_CONDITIONS).filter((id) => id !== condition)];
  const lines = histories.flatMap((runs, i) =>
    runs.map(({ speed_mm_s, through, conditions }) =>
      [i, through ? 1 : 0, Math.log(speed_mm_s as number), ...ids.map((id) => conditions[id])].join(","),
    ),
  );
  const { status, stdout, stderr, error } = spawnSync("Rscript", ["-e", SCRIPT], {
    input: [["history", "through", "speed", ...ids].join(","), ...lines].join("\n"),
    encoding: "utf8",
  });
  if (error !== undefined && "code" in error && error.code === "ENOENT") return null;
  if (status !== 0) throw new Error(`R could not fit the histories: ${stderr}`);
  return Number(stdout);
}
