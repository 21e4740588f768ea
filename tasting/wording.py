"""The one place that writes numbers, shares, intervals, p-values, signs and days."""
