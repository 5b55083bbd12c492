"""Writes pandas.parquet: the first 60 rows of a synthetic log, as pandas stores categories and durations.

Made with pandas and pyarrow as printed below; run from the root of the repository.
"""

import pandas
import pyarrow

log = pandas.read_csv("data-synthetic/logs/prompted-volunteer.csv", nrows=60)
log["code"] = log["code"].astype("category")
log["t_us"] = pandas.to_timedelta(log["t_us"], unit="us").astype("timedelta64[us]")
log.to_parquet("crates/agogic-lab/tests/data/pandas.parquet", compression="zstd", index=False)
print(f"pandas {pandas.__version__}, pyarrow {pyarrow.__version__}")
