package jobs

import (
	"slices"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"wetside/chemistry"
)

func TestAdmitNamesEveryWrongField(t *testing.T) {
	t.Parallel()
	c := counter()
	const stop = chemistry.Stop
	roll := func(change func(*NewRoll)) NewOrder { return sent(described(sedge160, change)) }
	grey := func(change func(*NewRoll)) NewOrder { return sent(described(marl400, change)) }
	order := func(change func(*NewOrder)) NewOrder {
		o := sent(described(sedge160))
		change(&o)
		return o
	}
	long := strings.Repeat("x", MaxNote+1)
	for _, test := range []struct {
		name   string
		order  NewOrder
		fields []string
	}{
		{"nothing at all", NewOrder{}, []string{"name", "email", "return", "rolls"}},
		{"blank name", order(func(o *NewOrder) { o.Name = " \t" }), []string{"name"}},
		{"long name", order(func(o *NewOrder) { o.Name = long[:81] }), []string{"name"}},
		{"name of two lines", order(func(o *NewOrder) { o.Name = "Wren\nAlder" }), []string{"name"}},
		{"zero byte", order(func(o *NewOrder) { o.Name = "Wren\x00" }), []string{"name"}},
		{"no UTF-8", order(func(o *NewOrder) { o.Name = "Wren\xff" }), []string{"name"}},
		{"turned text", order(func(o *NewOrder) { o.Name = "Wren\u202eredlA" }), []string{"name"}},
		{"no e-mail", order(func(o *NewOrder) { o.Email = "" }), []string{"email"}},
		{"e-mail without @", order(func(o *NewOrder) { o.Email = "wren.example.org" }), []string{"email"}},
		{"e-mail without a domain", order(func(o *NewOrder) { o.Email = "wren@quay" }), []string{"email"}},
		{"e-mail with a name", order(func(o *NewOrder) { o.Email = "Wren <wren@example.org>" }), []string{"email"}},
		{"two e-mails", order(func(o *NewOrder) { o.Email = "a@example.org, b@example.org" }), []string{"email"}},
		{"e-mail with a header", order(func(o *NewOrder) { o.Email = "a@example.org\r\nBcc: b@example.org" }), []string{"email"}},
		{"endless e-mail", order(func(o *NewOrder) { o.Email = long[:250] + "@example.org" }), []string{"email"}},
		{"long phone", order(func(o *NewOrder) { o.Phone = long[:41] }), []string{"phone"}},
		{"unknown way back", order(func(o *NewOrder) { o.Return = "pigeon" }), []string{"return"}},
		{"posted to nowhere", order(func(o *NewOrder) { o.Return, o.Address = Post, " \n" }), []string{"address"}},
		{"long address", order(func(o *NewOrder) { o.Address = long[:501] }), []string{"address"}},
		{"no rolls", sent(), []string{"rolls"}},
		{"too many rolls", sent(make([]NewRoll, MaxRolls+1)...), []string{"rolls"}},
		{"unknown stock", sent(described(99)), []string{"rolls[0].stock"}},
		{"no stock", sent(described(0)), []string{"rolls[0].stock"}},
		{"retired stock", sent(described(marlRetired)), []string{"rolls[0].stock"}},
		{"unknown format", roll(func(r *NewRoll) { r.Format = "110" }), []string{"rolls[0].format"}},
		{"negative exposures", roll(func(r *NewRoll) { r.Exposures = -1 }), []string{"rolls[0].exposures"}},
		{"too many exposures", roll(func(r *NewRoll) { r.Exposures = 251 }), []string{"rolls[0].exposures"}},
		{"unknown light", roll(func(r *NewRoll) { r.Light = "moonlight" }), []string{"rolls[0].light"}},
		{"unknown filter", roll(func(r *NewRoll) { r.Filter = "99Z" }), []string{"rolls[0].filter"}},
		{"negative EI", roll(rated(-100)), []string{"rolls[0].ei"}},
		{"EI beyond all speeds", roll(rated(102401)), []string{"rolls[0].ei"}},
		{"EI that is no rating", roll(rated(12800)), []string{"rolls[0].ei"}},
		{"push beyond the stock", roll(asks(3 * stop)), []string{"rolls[0].push"}},
		{"pull beyond the stock", roll(asks(-stop - 1)), []string{"rolls[0].push"}},
		{"push that nobody writes", roll(asks(61)), []string{"rolls[0].push"}},
		{"push beyond the process", sent(described(marl400, asks(2*stop+1))), []string{"rolls[0].push"}},
		{"developer for colour film", roll(func(r *NewRoll) { r.Solution = mqBorax }), []string{"rolls[0].solution"}},
		{"unknown developer", grey(func(r *NewRoll) { r.Solution = 99 }), []string{"rolls[0].solution"}},
		{"fixer as developer", grey(func(r *NewRoll) { r.Solution = bwFixer }), []string{"rolls[0].solution"}},
		{"developer without a time", grey(func(r *NewRoll) { r.Solution = pqFineGrain }), []string{"rolls[0].solution"}},
		{"long note", roll(says(long)), []string{"rolls[0].note"}},
		{"bell in a note", roll(says("push\a1")), []string{"rolls[0].note"}},
		{"two pushes", sent(described(sedge160, says("push 1 please"), asks(2*stop))), []string{"rolls[0].note"}},
		{"a push and none", sent(described(sedge160, says("push 1 please"), asks(0))), []string{"rolls[0].note"}},
		{"two ratings", sent(described(sedge160, says("shot at 320, push 1"), rated(640), asks(stop))), []string{"rolls[0].note"}},
		{"a push in the note beyond the stock", roll(says("push 3 stops")), []string{"rolls[0].note"}},
		{"several rolls", sent(described(sedge160), described(99), described(sedge160, rated(-1), func(r *NewRoll) { r.Format = "" })),
			[]string{"rolls[1].stock", "rolls[2].format"}},
	} {
		t.Run(test.name, func(t *testing.T) {
			_, err := Admit(test.order, c, Workload{}, monday)
			wantFields(t, err, test.fields...)
		})
	}
}

func TestARefusedPushNamesTheRange(t *testing.T) {
	t.Parallel()
	for stock, want := range map[StockID]string{
		sedge160: "Sedge 160 cannot be pushed by +3: this stock takes −1 to +2",
		marl400:  "allowed are 0 to +2", // the push rows of its developer end there
	} {
		_, err := ReadRoll(described(stock, asks(3*chemistry.Stop)), counter())
		wantFields(t, err, "push")
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%v, want it to say %q", err, want)
		}
	}
}

func TestAdmit(t *testing.T) {
	t.Parallel()
	in := sent(described(sedge160, asks(chemistry.Stop), rated(320), func(r *NewRoll) { r.Filter = "81 b" }), described(marl400))
	in.Name, in.Email, in.Return, in.Address = "  Wren Alder ", " wren@example.org", Post, "1 Quay Street\nSallow\n"
	order, err := Admit(in, counter(), Workload{}, monday)
	if err != nil {
		t.Fatal(err)
	}
	if order.Name != "Wren Alder" || order.Email != "wren@example.org" || order.Address != "1 Quay Street\nSallow" {
		t.Errorf("sender %q %q %q", order.Name, order.Email, order.Address)
	}
	if want := monday.Add(72 * time.Hour); !order.Due.Equal(want) || !order.Rolls[1].Due.Equal(want) || order.Submitted != monday {
		t.Errorf("due %s, the second roll %s, want %s", order.Due, order.Rolls[1].Due, want)
	}
	first, second := order.Rolls[0], order.Rolls[1]
	if first.Process != chemistry.C41 || first.Push != chemistry.Stop || first.EI != 320 || first.Filter != "81B" ||
		first.Light != chemistry.LightUnknown || first.State != Expected || first.Position != 1 || first.Confirm {
		t.Errorf("first roll %+v", first)
	}
	if first.Reading != "ISO 160 used at EI 320, push +1." {
		t.Errorf("reading %q", first.Reading)
	}
	if second.Position != 2 || second.Solution != mqBorax || second.EI != 400 || second.Reading != "Box speed, ISO 400, normal development." {
		t.Errorf("second roll %+v", second)
	}
}

func TestUnclearRequestsAreConfirmed(t *testing.T) {
	t.Parallel()
	const stop = chemistry.Stop
	for _, test := range []struct {
		name string
		roll NewRoll
		want bool
	}{
		{"box speed, nothing asked", described(sedge160), false},
		{"two stops under, nothing asked", described(sedge160, rated(640)), true},
		{"a third under, nothing asked", described(sedge160, rated(200)), false},
		{"two stops over on colour negative", described(sedge160, rated(40)), false},
		{"three stops over on colour negative", described(sedge160, rated(20)), true},
		{"a stop over on reversal", described(tealSlide, rated(50)), true},
		{"rated and pushed alike", described(sedge160, rated(320), asks(stop)), false},
		{"rated and pushed a third apart", described(sedge160, rated(400), asks(stop)), false},
		{"rated a stop, pushed two", described(sedge160, rated(320), asks(2*stop)), true},
		{"pushed, not rated", described(sedge160, asks(stop)), false},
		{"rated two stops under, normal asked for", described(sedge160, rated(640), asks(0)), false},
	} {
		read, err := ReadRoll(test.roll, counter())
		if err != nil || read.Confirm != test.want {
			t.Errorf("%s: confirm %v, want %v (%s) %v", test.name, read.Confirm, test.want, read.Reading, err)
		}
	}
}

func TestReadRoll(t *testing.T) {
	t.Parallel()
	read, err := ReadRoll(described(sedge160, rated(640), asks(chemistry.Stop)), counter())
	if err != nil {
		t.Fatal(err)
	}
	// C-41 push 1 is 3:45 (Kodak TI-2420, push table; Z-131, table 2-7).
	if read.Develop != 225 {
		t.Errorf("develops %d s, want 225", read.Develop)
	}
	r := read.Request
	if r.ISO != 160 || r.Rated != 2*chemistry.Stop || r.Asked != chemistry.Stop || r.Left != chemistry.Stop {
		t.Errorf("request %+v", r)
	}
	leftUnder := func(a chemistry.Advice) bool {
		return a.Code == chemistry.AdviceLeftUnder && a.Severity == chemistry.Warn
	}
	if !slices.ContainsFunc(r.Advice, leftUnder) {
		t.Errorf("advice %+v", r.Advice)
	}
	untimed, err := ReadRoll(described(marlUntimed), counter())
	if err != nil || untimed.Develop != 0 {
		t.Errorf("a stock without times: %d s, %v", untimed.Develop, err)
	}
}

func TestTheNoteIsRead(t *testing.T) {
	t.Parallel()
	const stop = chemistry.Stop
	for _, test := range []struct {
		name    string
		roll    NewRoll
		push    chemistry.Stops
		ei      int
		confirm bool
	}{
		{"nothing about exposure", described(sedge160, says("from our holiday, be gentle")), 0, 160, false},
		{"push in the note", described(sedge160, says("please push 1 stop")), stop, 160, false},
		{"rating and push in the note", described(sedge160, says("shot at 320, push 1")), stop, 320, false},
		{"the same in field and note", described(sedge160, says("push 1"), asks(stop)), stop, 160, false},
		{"a rating alone", described(sedge160, says("shot at 640")), 0, 640, true},
		{"a contradiction", described(sedge160, says("rated 320, push 2")), 2 * stop, 320, true},
		{"rated in the field, pushed in the note", described(sedge160, rated(320), says("push 1")), stop, 320, false},
		{"more than the stock takes, in doubt", described(sedge160, says("push 5 maybe")), 5 * stop, 160, true},
	} {
		order, err := Admit(sent(test.roll), counter(), Workload{}, monday)
		if err != nil {
			t.Errorf("%s: %v", test.name, err)
			continue
		}
		roll := order.Rolls[0]
		if roll.Push != test.push || roll.EI != test.ei || roll.Confirm != test.confirm {
			t.Errorf("%s: push %s, EI %d, confirm %v; want %s, %d, %v (%s)",
				test.name, roll.Push, roll.EI, roll.Confirm, test.push, test.ei, test.confirm, roll.Reading)
		}
	}
}

// Whatever is typed, an order is taken whole or refused with the fields named,
// and what is taken is within what the records allow.
func FuzzAdmit(f *testing.F) {
	c := counter()
	f.Add("push 2", 1600, 12, int64(sedge160), "135", 36)
	f.Add("shot at 3200 maybe push to 102400", 0, 99, int64(marl400), "4x5", 1)
	f.Add("\x00\xff", -5, -61, int64(tealSlide), "", -1)
	f.Fuzz(func(t *testing.T, text string, ei, push int, stock int64, format string, exposures int) {
		in := described(StockID(stock), says(text), rated(ei))
		in.Format, in.Exposures = chemistry.Format(format), exposures
		if push != 99 {
			asks(chemistry.Stops(push))(&in)
		}
		order, err := Admit(sent(in), c, Workload{}, monday)
		if err != nil {
			if CodeOf(err) != Invalid {
				t.Fatalf("%v", err)
			}
			return
		}
		roll := order.Rolls[0]
		if roll.EI < 1 || roll.EI > chemistry.MaxSpeed || roll.Push > chemistry.MaxStops || roll.Push < -chemistry.MaxStops ||
			utf8.RuneCountInString(roll.Note) > MaxNote || roll.Reading == "" {
			t.Fatalf("taken as %+v", roll)
		}
	})
}
