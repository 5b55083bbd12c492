# Rscript tests.R FOLDER: reads a result folder of `agogic run`, holds it to what the folder says, draws both plots.
arguments <- commandArgs(trailingOnly = TRUE)
here <- dirname(sub("^--file=", "", grep("^--file=", commandArgs(), value = TRUE)))
source(file.path(here, "agogic.R"))
folder <- arguments[1]
result <- agogic_read(folder)
rows <- result$estimates
refused <- function(call, wanted) {
  said <- tryCatch({ force(call); "nothing" }, error = conditionMessage)
  if (!grepl(wanted, said, fixed = TRUE)) stop("said `", said, "` and not `", wanted, "`")
}

# The CSV and the JSON of the folder are the same rows, number by number and null by null.
json <- agogic_json(file.path(folder, "results.json"))
stopifnot(length(json) == nrow(rows), nrow(rows) > 100)
number <- function(name) vapply(json, function(row) { found <- row$estimate[[name]]; if (is.null(found)) NA_real_ else found }, 0)
for (pair in list(c("value", "estimate"), c("mcse", "estimate_mcse"), c("lo", "ci_lo"), c("hi", "ci_hi"), c("n", "n"))) {
  stopifnot(identical(number(pair[1]), as.numeric(rows[[pair[2]]])))
}
word <- function(find) vapply(json, function(row) { found <- find(row); if (is.null(found)) NA_character_ else found }, "")
stopifnot(identical(word(function(row) row$estimate$reason), rows$reason))
stopifnot(identical(word(function(row) row$policy), rows$policy), identical(word(function(row) row$estimate$method), rows$ci_method))

# Types: texts are texts and numbers numbers, whatever they look like.
stopifnot(is.character(rows$policy), is.numeric(rows$estimate), is.numeric(rows$n), is.character(rows$reason))

# Unknown is not zero, and says why.
unknown <- agogic_unknown(result)
stopifnot(all(!is.na(unknown$reason)), all(nchar(unknown$reason) > 0))
if ("--some-unknown" %in% arguments) stopifnot(nrow(unknown) > 0)

# One estimate, and names that nothing has.
first <- result$manifest$policies[[1]]
found <- agogic_estimate(result, first, "wrong_keys")
stopifnot(found$level == 0.95, found$resampling_unit == "typist", found$interval[1] <= found$value, found$value <= found$interval[2])
refused(agogic_estimate(result, "nobody", "wrong_keys"), "for `nobody`")
refused(agogic_estimate(result, first, "wrong_key"), "no estimand `wrong_key`")
refused(agogic_read(tempdir()), "no manifest.json")

# Escapes in JSON.
path <- tempfile()
writeLines("{\"a\\u00e9\\n\": [1, null, -2.5e-3], \"b\": [true, false], \"c\": {}, \"d\": null, \"e\": [\"x\", null], \"f\": [[1], [2]]}", path)
json <- agogic_json(path)
stopifnot(identical(names(json), c("a\u00e9\n", "b", "c", "d", "e", "f")), identical(json[[1]], c(1, NA, -2.5e-3)))
stopifnot(identical(json$b, c(TRUE, FALSE)), is.null(json$d), identical(json$e, c("x", NA)), length(json$f) == 2)
writeLines("{\"a\": [1", path)
refused(agogic_json(path), "ends too early")

# Both plots, and what they draw.
out <- arguments[2]
grDevices::pdf(file.path(out, "plots.pdf"))
drawn <- agogic_plot_estimates(result, "wrong_keys")
stopifnot(nrow(drawn) == length(result$manifest$policies), !is.unsorted(drawn$estimate, na.rm = TRUE))
both <- agogic_plot_trade_off(result)
stopifnot(all(both$policy %in% unlist(result$manifest$policies)))
agogic_plot_estimates(result, "wrong_keys", statistic = "difference")
invisible(grDevices::dev.off())

# For who reads with something else: the bytes of the numbers.
writeBin(as.numeric(rows$estimate), file.path(out, "estimates.bin"), endian = "little")
cat("ok", nrow(rows), "rows\n")
