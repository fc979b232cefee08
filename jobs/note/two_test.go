package note_test

import (
	"testing"

	"wetside/jobs/note"
)

func TestTwoRequestsInOneRoll(t *testing.T) {
	t.Parallel()
	for _, test := range []struct {
		text string
		two  bool
	}{
		{"push 1 and push 2", true},
		{"push one stop. Pull one stop.", true},
		{"first half push 1, second half normal", true},
		{"first half at 400, second half at 1600", true},
		{"push 2 for the last 12 frames only", true},
		{"the first half of the roll is blank", false},
		{"push 1", false},
		{"push 1, that is: one stop push", false},
		{"maybe push 1 or 2?", false},
		{"rated 800, push 2", false},
		{"", false},
	} {
		if got := note.Read(test.text, 400); got.Two != test.two {
			t.Errorf("%q: two requests %v, want %v (%s)", test.text, got.Two, test.two, got.Because)
		} else if got.Two && !got.Confirm {
			t.Errorf("%q: two requests and nothing to confirm", test.text)
		}
	}
}
