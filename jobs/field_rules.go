package jobs

import (
	"maps"
	"slices"
	"strings"
)

// oneOf checks that a value is one of those there are.
func (f *fieldErrors) oneOf(field, value string, allowed []string) {
	if !slices.Contains(allowed, value) {
		f.add(field, "%q is not known, allowed are %s", value, strings.Join(allowed, ", "))
	}
}

// within checks a number; one that is no number is outside too.
func (f *fieldErrors) within(field string, value, low, high float64) {
	if !(value >= low && value <= high) {
		f.add(field, "%g is outside what is allowed, %g to %g", value, low, high)
	}
}

// names returns named values as plain text.
func names[T ~string](values []T) []string {
	plain := make([]string, len(values))
	for i, v := range values {
		plain[i] = string(v)
	}
	return plain
}

// sortedStocks lists the stocks by key, so that an error names the same one
// every time.
func sortedStocks(c Catalogue) []Stock {
	stocks := make([]Stock, 0, len(c.Stocks))
	for _, id := range slices.Sorted(maps.Keys(c.Stocks)) {
		stocks = append(stocks, c.Stocks[id])
	}
	return stocks
}
