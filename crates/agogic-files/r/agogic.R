# Result folders of agogic in R: readers and two plots, with nothing but base R.
#
#   source("agogic.R")
#   result <- agogic_read("results/main-study")
#   head(result$estimates)                      # a data frame; NA where a number is unknown, and `reason` says why
#   agogic_estimate(result, "enclosed", "wrong_keys")
#   agogic_plot_estimates(result, "wrong_keys")
#   agogic_plot_trade_off(result)

# Columns that hold text. All others of a table are numbers.
.agogic_text <- c(
  "arm", "policy", "group", "estimand", "role", "statistic", "unit", "minus", "ci_method", "resampling_unit", "cautions",
  "reason", "modifier", "key", "kind", "outcome", "setting", "sweep", "rule", "finger", "measure", "code", "what", "figure",
  "action", "input", "index", "trained_on", "judged_on", "assignment", "target", "hand", "verdict", "sentence"
)

# Reads a result folder of `agogic run`, `sweep`, `advise` and so on.
#
# Gives a list: `manifest` (what was run, by what), `tables` (every CSV table of the folder as a data frame), and for a run
# `estimates` (one row per arm, policy, group, estimand and statistic), `cautions` and `advice`.
agogic_read <- function(folder) {
  path <- file.path(folder, "manifest.json")
  if (!file.exists(path)) {
    stop(folder, " has no manifest.json, so it is no result folder; name one that `agogic run` wrote", call. = FALSE)
  }
  manifest <- agogic_json(path)
  kind <- sub("^agogic-([a-z]+)-1$", "\\1", manifest$format)
  if (!kind %in% c("results", "sweep", "advice", "robust", "sensitivity")) {
    stop(path, ": its format is `", manifest$format, "`, which this version does not read", call. = FALSE)
  }
  names <- sort(names(manifest$files_sha256))
  csv <- names[grepl("\\.csv$", names) & !grepl("^input-", names)]
  tables <- lapply(file.path(folder, csv), agogic_csv)
  names(tables) <- sub("\\.csv$", "", csv)
  result <- list(folder = folder, kind = kind, manifest = manifest, tables = tables, estimates = tables[["results"]])
  for (name in intersect(c("cautions", "advice"), sub("\\.json$", "", names[grepl("\\.json$", names)]))) {
    result[[name]] <- agogic_json(file.path(folder, paste0(name, ".json")))
  }
  structure(result, class = "agogic_result")
}

print.agogic_result <- function(x, ...) {
  cat("agogic ", x$kind, " of `", x$manifest$study, "`: ", length(x$manifest$policies), " policies, ",
    length(x$manifest$arms), " arms, tables ", paste(names(x$tables), collapse = ", "), "\n", sep = "")
  invisible(x)
}

# Reads a table: an empty field is NA, texts stay texts, and numbers keep every digit.
agogic_csv <- function(path) {
  text <- utils::read.csv(path, colClasses = "character", na.strings = "", check.names = FALSE, encoding = "UTF-8")
  for (name in setdiff(names(text), .agogic_text)) {
    # A column that holds something else than numbers is text, whatever its name.
    number <- suppressWarnings(as.numeric(text[[name]]))
    if (identical(is.na(number), is.na(text[[name]]))) text[[name]] <- number
  }
  text
}

# Reads JSON: objects are named lists, lists of plain values of one type are vectors, null is NA in a vector and NULL in a
# list. The package jsonlite is not needed.
agogic_json <- function(path) {
  text <- paste(readLines(path, encoding = "UTF-8", warn = FALSE), collapse = "\n")
  pattern <- "\"(?:[^\"\\\\]|\\\\.)*\"|-?[0-9][0-9.eE+-]*|true|false|null|[][{}:,]"
  tokens <- regmatches(text, gregexpr(pattern, text, perl = TRUE))[[1]]
  at <- 0L
  take <- function() {
    at <<- at + 1L
    if (at > length(tokens)) stop(path, ": the JSON ends too early", call. = FALSE)
    tokens[[at]]
  }
  peek <- function() if (at < length(tokens)) tokens[[at + 1L]] else ""
  must <- function(wanted) {
    found <- take()
    if (found != wanted) stop(path, ": `", wanted, "` is missing before `", found, "`", call. = FALSE)
  }
  value <- function() {
    token <- take()
    first <- substr(token, 1, 1)
    if (first == "{") return(object())
    if (first == "[") return(array())
    if (first == "\"") return(.agogic_unescaped(token))
    switch(token, true = TRUE, false = FALSE, null = NULL, as.numeric(token))
  }
  object <- function() {
    found <- list()
    while (peek() != "}") {
      name <- .agogic_unescaped(take())
      must(":")
      # A null keeps its place.
      found[name] <- list(value())
      if (peek() != "}") must(",")
    }
    must("}")
    found
  }
  array <- function() {
    found <- list()
    while (peek() != "]") {
      found[length(found) + 1L] <- list(value())
      if (peek() != "]") must(",")
    }
    must("]")
    .agogic_vector(found)
  }
  found <- value()
  if (at < length(tokens)) stop(path, ": more follows after the JSON", call. = FALSE)
  found
}

.agogic_unescaped <- function(token) {
  inner <- substr(token, 2, nchar(token) - 1L)
  if (!grepl("\\", inner, fixed = TRUE)) return(inner)
  parts <- regmatches(inner, gregexpr("\\\\u[0-9a-fA-F]{4}|\\\\.|[^\\\\]+", inner, perl = TRUE))[[1]]
  plain <- c("\\n" = "\n", "\\t" = "\t", "\\r" = "\r", "\\b" = "\b", "\\f" = "\f")
  one <- function(part) {
    if (substr(part, 1, 1) != "\\") return(part)
    if (substr(part, 2, 2) == "u") return(intToUtf8(strtoi(substr(part, 3, 6), 16L)))
    if (part %in% names(plain)) plain[[part]] else substr(part, 2, 2)
  }
  paste(vapply(parts, one, ""), collapse = "")
}

.agogic_vector <- function(found) {
  missing <- vapply(found, is.null, TRUE)
  known <- found[!missing]
  kinds <- unique(vapply(known, function(one) if (is.list(one) || length(one) != 1L) "list" else typeof(one), ""))
  if (length(kinds) != 1L || kinds == "list") return(found)
  vector <- vapply(found, function(one) if (is.null(one)) NA_character_ else as.character(one), "")
  switch(kinds,
    character = vector,
    logical = as.logical(vector),
    double = { numbers <- rep(NA_real_, length(found)); numbers[!missing] <- unlist(known); numbers },
    found)
}

# One estimate of a run with all one needs to judge it; `value` is NA where it is unknown, and `reason` says why.
agogic_estimate <- function(result, policy, estimand, arm = NULL, statistic = "pooled", group = "all") {
  rows <- .agogic_rows(result, estimand, arm, statistic, group)
  row <- rows[rows$policy == policy, , drop = FALSE]
  if (nrow(row) == 0L) {
    stop("there is no estimate of `", estimand, "` for `", policy, "` (policies: ",
      paste(unique(rows$policy), collapse = ", "), ")", call. = FALSE)
  }
  row <- row[1L, ]
  list(
    value = row$estimate, interval = c(row$ci_lo, row$ci_hi), level = row$ci_level, method = row$ci_method,
    unit = row$unit, mcse = row$estimate_mcse, resampling_unit = row$resampling_unit, n = row$n,
    cautions = row$cautions, reason = row$reason
  )
}

# The estimates that are unknown, each with its reason.
agogic_unknown <- function(result) {
  rows <- result$estimates
  rows[is.na(rows$estimate), c("arm", "policy", "group", "estimand", "statistic", "reason")]
}

.agogic_rows <- function(result, estimand, arm, statistic, group) {
  if (is.null(result$estimates)) stop("this is no result of `agogic run`", call. = FALSE)
  rows <- result$estimates
  if (is.null(arm)) arm <- result$manifest$arms[[1]]$label
  for (asked in list(c("arm", arm), c("estimand", estimand), c("statistic", statistic), c("group", group))) {
    known <- unique(rows[[asked[1]]])
    if (!asked[2] %in% known) {
      stop("there is no ", asked[1], " `", asked[2], "` (known: ", paste(known, collapse = ", "), ")", call. = FALSE)
    }
    rows <- rows[rows[[asked[1]]] == asked[2], , drop = FALSE]
  }
  rows
}

# Every policy of an arm with its interval, the fewest first. An unknown value has no point. Gives what was drawn.
agogic_plot_estimates <- function(result, estimand = result$manifest$primary, arm = NULL, statistic = "pooled") {
  rows <- .agogic_rows(result, estimand, arm, statistic, "all")
  rows <- rows[order(rows$estimate, na.last = TRUE), ]
  if (all(is.na(rows$estimate))) stop("nothing is known of `", estimand, "`: ", rows$reason[1], call. = FALSE)
  at <- rev(seq_len(nrow(rows)))
  old <- graphics::par(mar = c(5, 2 + 0.5 * max(nchar(rows$policy)), 3, 1))
  on.exit(graphics::par(old))
  graphics::plot(rows$estimate, at,
    xlim = range(rows$ci_lo, rows$ci_hi, rows$estimate, 0, na.rm = TRUE), ylim = c(0.5, nrow(rows) + 0.5),
    yaxt = "n", ylab = "", pch = 19, xlab = paste0(gsub("_", " ", estimand), ", ", rows$unit[1]),
    main = rows$arm[1], frame.plot = FALSE)
  graphics::segments(rows$ci_lo, at, rows$ci_hi, at)
  graphics::axis(2, at = at, labels = rows$policy, las = 1, tick = FALSE)
  if (statistic == "difference") graphics::abline(v = 0, lty = 3)
  .agogic_note(rows)
  invisible(rows[, c("policy", "estimate", "ci_lo", "ci_hi")])
}

# False holds against missed holds, a cross of intervals for each policy. Gives what was drawn.
agogic_plot_trade_off <- function(result, arm = NULL) {
  x <- .agogic_rows(result, "false_holds", arm, "pooled", "all")
  y <- .agogic_rows(result, "missed_holds", arm, "pooled", "all")
  y <- y[match(x$policy, y$policy), ]
  known <- !is.na(x$estimate) & !is.na(y$estimate)
  if (!any(known)) stop("no policy has both false and missed holds", call. = FALSE)
  colours <- grDevices::hcl.colors(nrow(x), "Dark 3")
  graphics::plot(x$estimate[known], y$estimate[known],
    xlim = range(x$ci_lo, x$ci_hi, x$estimate, 0, na.rm = TRUE), ylim = range(y$ci_lo, y$ci_hi, y$estimate, 0, na.rm = TRUE),
    pch = seq_len(nrow(x))[known] %% 25, col = colours[known], main = x$arm[1], frame.plot = FALSE,
    xlab = paste0("false holds, ", x$unit[1]), ylab = paste0("missed holds, ", y$unit[1]))
  graphics::segments(x$ci_lo, y$estimate, x$ci_hi, y$estimate, col = colours)
  graphics::segments(x$estimate, y$ci_lo, x$estimate, y$ci_hi, col = colours)
  graphics::legend("topright", x$policy[known], pch = seq_len(nrow(x))[known] %% 25, col = colours[known], bty = "n", cex = 0.8)
  .agogic_note(x)
  invisible(data.frame(policy = x$policy, false_holds = x$estimate, missed_holds = y$estimate)[known, ])
}

# Level, unit of resampling and number under a plot.
.agogic_note <- function(rows) {
  note <- sprintf("%g %% intervals, unit: %s, n = %g; simulated people", 100 * rows$ci_level[1], rows$resampling_unit[1], max(rows$n))
  graphics::mtext(note, side = 1, line = 4, adj = 1, cex = 0.7)
}
