package server_test

import (
	"math"
	"testing"

	"github.com/google/go-cmp/cmp"

	"wetside/server"
)

// What could be read of parts is written so that it reads the same again, as
// far as it may be saved.
func FuzzParts(f *testing.F) {
	for _, seed := range []string{
		"Part A = 100 mL\nSulfite = 2,5 g", "Starter = 25mL, acid", "A = B = 1e2 ML acid", "Part A", "= 1 g", "x = g", "x = NaN g", "x = 1 , acid", "acid = 1 g,acid", "",
	} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		parts, err := server.ReadParts(text)
		if err != nil {
			if len(parts) > 0 {
				t.Errorf("%q: %v, and yet %v", text, err, parts)
			}
			return
		}
		for _, part := range parts {
			if !(part.AmountPerL > 0) || math.IsInf(part.AmountPerL, 0) || part.Name == "" {
				return // the rules refuse it
			}
		}
		again, err := server.ReadParts(server.WriteParts(parts))
		if diff := cmp.Diff(parts, again); diff != "" || err != nil {
			t.Errorf("%q: %v\n%s", text, err, diff)
		}
	})
}

// So is how long something keeps.
func FuzzKeeping(f *testing.F) {
	for _, seed := range []string{"2 months", "6 Weeks", "1 year, 1 month and 15 days", "10days", "0 days", "9999 years", "months", "2 months and", "-1 days", "1.5 months"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		keeping, err := server.ReadKeeping(text)
		if err != nil || keeping.Months+keeping.Days == 0 || keeping.Months > 120 || keeping.Days > 3660 {
			return // refused, here or by the rules
		}
		again, err := server.ReadKeeping(server.WriteKeeping(keeping))
		if diff := cmp.Diff(keeping, again); diff != "" || err != nil {
			t.Errorf("%q: %v\n%s", text, err, diff)
		}
	})
}
