package jobs

import (
	"strings"
	"testing"

	"wetside/chemistry"
)

// asFound is a check-in that finds a roll as it was ordered.
func asFound(roll Roll, change ...func(*CheckIn)) CheckIn {
	in := CheckIn{Roll: roll.ID, Version: roll.Version, TwinCheck: "a-1", Stock: roll.Stock, Format: roll.Format, Exposures: roll.Exposures}
	for _, c := range change {
		c(&in)
	}
	return in
}

func TestCheckIn(t *testing.T) {
	t.Parallel()
	const stop = chemistry.Stop
	for _, test := range []struct {
		name  string
		roll  NewRoll
		found func(*CheckIn)
		want  RollState
		why   string // part of what the check-in tells
		asks  string // part of the question
	}{
		{"as ordered", described(sedge160), func(*CheckIn) {}, Queued, "as ordered", ""},
		{"another stock of the process", described(sedge160), func(in *CheckIn) { in.Stock = greySedge }, Held,
			"stock: ordered Sedge 160, found Sedge Grey 400", "what is wanted? The film is Sedge Grey 400 for C-41, not what was ordered. ISO 400 used at EI 160"},
		{"another stock, push agreed", described(sedge160), func(in *CheckIn) { in.Stock, in.Confirmed = marl400, true }, Queued,
			"stock: ordered Sedge 160, found Marl 400; EI: ordered 160, found 400; developer: ordered none, found MQ borax", ""},
		{"another format", described(sedge160), func(in *CheckIn) { in.Format, in.Exposures = chemistry.Format120, 12 }, Queued,
			"format: ordered 135, found 120; exposures: ordered 36, found 12", ""},
		{"remjet found", described(sedge160), func(in *CheckIn) { in.Remjet = chemistry.RemjetPresent }, Held,
			"remjet: none by the catalogue, found present", "remjet is present"},
		{"remjet unknown", described(reedmaceUnsorted), func(*CheckIn) {}, Held, "as ordered", "look at its back"},
		{"remjet looked for", described(reedmaceUnsorted), func(in *CheckIn) { in.Remjet = chemistry.RemjetRemoved }, Queued,
			"remjet: unknown by the catalogue, found removed", ""},
		{"remjet unknown in black and white", described(marl400), func(in *CheckIn) { in.Remjet = chemistry.RemjetUnknown }, Held, "remjet", "look at its back"},
		{"remjet where it belongs", described(reedmaceWithRemjet), func(*CheckIn) {}, Queued, "as ordered", ""},
		{"no developing time", described(marlUntimed), func(*CheckIn) {}, Held, "as ordered", "no developer is chosen"},
		{"no time in the developer, stock as found", described(sedge160), func(in *CheckIn) { in.Stock, in.Confirmed = marlUntimed, true }, Held, "Marl 3200", "no developer is chosen"},
		{"reading to confirm", described(sedge160, says("shot at 640")), func(*CheckIn) {}, Held, "as ordered", "what is wanted? ISO 160 used at EI 640"},
		{"reading confirmed", described(sedge160, says("shot at 640")),
			func(in *CheckIn) { in.Confirmed, in.EI, in.Push = true, 640, 2*stop }, Queued, "push: ordered 0, found +2", ""},
		{"a push without a time confirmed", described(tealSlide), func(in *CheckIn) { in.Confirmed, in.Push = true, 3*stop }, Held,
			"push: ordered 0, found +3", "allowed are −1 to +2"},
		{"a question of the staff's", described(sedge160), func(in *CheckIn) { in.Question = " wet when unpacked? " }, Held, "as ordered", "wet when unpacked?"},
		{"two things open", described(marlUntimed), func(in *CheckIn) { in.Question = "torn leader?" }, Held, "as ordered", "torn leader?; no developer is chosen"},
	} {
		t.Run(test.name, func(t *testing.T) {
			c := counter()
			roll := ordered(t, c, test.roll)
			move, err := TakeIn(roll, asFound(roll, test.found), c)
			if err != nil {
				t.Fatal(err)
			}
			now := move.Roll
			if now.State != test.want || now.TwinCheck != "A-1" || now.Order != roll.Order {
				t.Errorf("it is %s with twin-check %q (question %q), want %s", now.State, now.TwinCheck, now.Question, test.want)
			}
			if why := move.Events[0].Why; !strings.Contains(why, test.why) || move.Events[0].To != string(Received) {
				t.Errorf("the check-in tells %q, want %q in it", why, test.why)
			}
			if !strings.Contains(now.Question, test.asks) || (now.Question == "") != (test.asks == "") {
				t.Errorf("the question is %q, want %q in it", now.Question, test.asks)
			}
			if now.State == Held && move.Events[1].Why != now.Question {
				t.Errorf("the hold tells %q, the question is %q", move.Events[1].Why, now.Question)
			}
		})
	}
}

func TestCheckInNamesEveryWrongField(t *testing.T) {
	t.Parallel()
	for _, test := range []struct {
		name   string
		found  func(*CheckIn)
		fields []string
	}{
		{"twin-check too short", func(in *CheckIn) { in.TwinCheck = "A1" }, []string{"twin_check"}},
		{"twin-check too long", func(in *CheckIn) { in.TwinCheck = "ABCDEFGH123456789" }, []string{"twin_check"}},
		{"twin-check with a space", func(in *CheckIn) { in.TwinCheck = "A 123" }, []string{"twin_check"}},
		{"twin-check with a line break", func(in *CheckIn) { in.TwinCheck = "A12\n3" }, []string{"twin_check"}},
		{"twin-check with an umlaut", func(in *CheckIn) { in.TwinCheck = "Ä123" }, []string{"twin_check"}},
		{"unknown stock", func(in *CheckIn) { in.Stock = 99 }, []string{"stock"}},
		{"unknown format", func(in *CheckIn) { in.Format = "" }, []string{"format"}},
		{"too many exposures", func(in *CheckIn) { in.Exposures = 300 }, []string{"exposures"}},
		{"remjet that is none of the four", func(in *CheckIn) { in.Remjet = "maybe" }, []string{"remjet"}},
		{"developer for colour", func(in *CheckIn) { in.Solution = mqBorax }, []string{"solution"}},
		{"push beyond writing", func(in *CheckIn) { in.Confirmed, in.Push = true, 61 }, []string{"push"}},
		{"EI nonsense", func(in *CheckIn) { in.Confirmed, in.EI = true, -3 }, []string{"ei"}},
		{"endless question", func(in *CheckIn) { in.Question = strings.Repeat("?", MaxQuestion+1) }, []string{"question"}},
		{"several at once", func(in *CheckIn) { in.TwinCheck, in.Format, in.Question = "!", "110", "\x00" }, []string{"twin_check", "format", "question"}},
	} {
		t.Run(test.name, func(t *testing.T) {
			c := counter()
			roll := ordered(t, c, described(sedge160))
			_, err := TakeIn(roll, asFound(roll, test.found), c)
			wantFields(t, err, test.fields...)
		})
	}
}

// held is a roll that waits for an answer, and the catalogue it is in.
func held(t *testing.T, in NewRoll, found ...func(*CheckIn)) (Roll, Catalogue) {
	t.Helper()
	c := counter()
	roll := ordered(t, c, in)
	move, err := TakeIn(roll, asFound(roll, append(found, func(in *CheckIn) { in.Question = "is it?" })...), c)
	if err != nil || move.Roll.State != Held {
		t.Fatalf("not held: %v", err)
	}
	return move.Roll, c
}

func TestAnswers(t *testing.T) {
	t.Parallel()
	push := func(stops chemistry.Stops) *chemistry.Stops { stops *= chemistry.Stop; return &stops }
	remjet := func(r chemistry.Remjet) *chemistry.Remjet { return &r }
	stock := func(id StockID) *StockID { return &id }
	number := func(n int) *int { return &n }
	solution := func(id SolutionID) *SolutionID { return &id }
	for _, test := range []struct {
		name   string
		roll   NewRoll
		answer Answer
		want   RollState
		open   string // part of what is still open
	}{
		{"nothing open", described(sedge160), Answer{}, Queued, ""},
		{"reading settled", described(sedge160, says("shot at 640")), Answer{Push: push(2)}, Queued, ""},
		{"reading settled as normal", described(sedge160, says("shot at 640")), Answer{Push: push(0)}, Queued, ""},
		{"reading not settled", described(sedge160, says("shot at 640")), Answer{}, Received, "what is wanted?"},
		{"the EI alone settles no push", described(sedge160, says("shot at 640")), Answer{EI: number(320)}, Received, "what is wanted?"},
		{"remjet settled", described(reedmaceUnsorted), Answer{Remjet: remjet(chemistry.RemjetNone)}, Queued, ""},
		{"remjet there", described(reedmaceUnsorted), Answer{Remjet: remjet(chemistry.RemjetPresent)}, Received, "remjet is present"},
		{"remjet settles no push", described(reedmaceUnsorted, says("shot at 1600")), Answer{Remjet: remjet(chemistry.RemjetNone)}, Received, "what is wanted?"},
		{"it was another stock", described(reedmaceUnsorted), Answer{Stock: stock(reedmaceWithRemjet), Push: push(0)}, Queued, ""},
		{"another stock, nothing said of the push", described(sedge160), Answer{Stock: stock(marl400)}, Received, "The film is Marl 400"},
		{"the same stock", described(sedge160), Answer{Stock: stock(sedge160)}, Queued, ""},
		{"another developer", described(marl400), Answer{Solution: solution(mqBorax)}, Queued, ""},
		{"a push without a time", described(tealSlide), Answer{Push: push(3)}, Received, "allowed are −1 to +2"},
	} {
		t.Run(test.name, func(t *testing.T) {
			roll, c := held(t, test.roll)
			test.answer.Answer = " yes, she says "
			move, err := EndHold(roll, test.answer, c)
			if err != nil {
				t.Fatal(err)
			}
			now := move.Roll
			if now.State != test.want || now.Answer != "yes, she says" {
				t.Errorf("it is %s with the answer %q, want %s (open: %s)", now.State, now.Answer, test.want, now.Question)
			}
			if !strings.Contains(now.Question, test.open) || (now.Question == "") != (test.open == "") {
				t.Errorf("open is %q, want %q in it", now.Question, test.open)
			}
			if test.want == Received {
				_, err := Enqueue(now, c)
				wantCode(t, err, Refused)
			}
		})
	}
}

func TestAnswersNameEveryWrongField(t *testing.T) {
	t.Parallel()
	roll, c := held(t, described(sedge160))
	push, ei, remjet, stock := chemistry.Stops(-61), 200000, chemistry.Remjet("?"), StockID(99)
	_, err := EndHold(roll, Answer{Push: &push, EI: &ei, Remjet: &remjet}, c)
	wantFields(t, err, "answer", "remjet", "ei", "push")
	_, err = EndHold(roll, Answer{Answer: "it is", Stock: &stock}, c)
	wantFields(t, err, "stock")
	for _, developer := range []SolutionID{0, 99, mqBorax} { // mqBorax is for black and white
		_, err = EndHold(roll, Answer{Answer: "it is", Solution: &developer}, c)
		wantFields(t, err, "solution")
	}
	roll.State = Received
	for _, question := range []string{"", " \n", "what\x00", strings.Repeat("?", MaxQuestion+1)} {
		_, err := Hold(roll, question)
		wantFields(t, err, "question")
	}
}

func TestQueueOnceTheLabHasATime(t *testing.T) {
	t.Parallel()
	roll, c := held(t, described(marlUntimed))
	move, err := EndHold(roll, Answer{Answer: "no time for it yet"}, c)
	if err != nil || move.Roll.State != Received {
		t.Fatalf("%s, %v", move.Roll.State, err)
	}
	received := move.Roll
	stock := c.Stocks[marlUntimed]
	stock.Solution = mqBorax
	stock.Times = []StockTimes{{Solution: mqBorax, Rows: []chemistry.BWRow{{TempC: 20, Seconds: 600}}}}
	move, err = Enqueue(received, c.withStock(stock))
	if err != nil || move.Roll.State != Queued || move.Roll.Question != "" {
		t.Errorf("%+v, %v", move, err)
	}
}

func TestRollsFollowTheirStock(t *testing.T) {
	t.Parallel()
	change := func(c Catalogue, process chemistry.Process, remjet chemistry.Remjet) (Stock, Catalogue) {
		was := c.Stocks[sedge160]
		stock := was
		stock.Film.Process, stock.Film.Remjet = process, remjet
		if !stock.Reclassifies(was) || was.Reclassifies(was) {
			t.Error("only a change of process or backing concerns the rolls")
		}
		return was, c.withStock(stock)
	}
	for _, test := range []struct {
		name   string
		state  RollState
		found  chemistry.Remjet // on the roll itself
		remjet chemistry.Remjet // of the stock from now on
		want   RollState
		is     chemistry.Remjet
	}{
		{"queued, now in doubt", Queued, chemistry.RemjetNone, chemistry.RemjetUnknown, Held, chemistry.RemjetUnknown},
		{"queued, removed is as good as none", Queued, chemistry.RemjetNone, chemistry.RemjetRemoved, Queued, chemistry.RemjetRemoved},
		{"queued and looked at", Queued, chemistry.RemjetRemoved, chemistry.RemjetUnknown, Queued, chemistry.RemjetRemoved},
		{"received", Received, chemistry.RemjetNone, chemistry.RemjetUnknown, Received, chemistry.RemjetUnknown},
		{"held", Held, chemistry.RemjetNone, chemistry.RemjetUnknown, Held, chemistry.RemjetUnknown},
	} {
		c := counter()
		roll := ordered(t, c, described(sedge160))
		roll.State, roll.Remjet, roll.TwinCheck = test.state, test.found, "A1"
		was, changed := change(c, chemistry.C41, test.remjet)
		move, err := Reclassify(roll, was, changed)
		if err != nil || move.Roll.State != test.want || move.Roll.Remjet != test.is || len(move.Events) != 1 {
			t.Errorf("%s: %+v, %v", test.name, move, err)
		}
	}
	// What is not yet here follows when it is checked in.
	c := counter()
	roll := ordered(t, c, described(sedge160))
	_, changed := change(c, chemistry.C41, chemistry.RemjetUnknown)
	if move, err := TakeIn(roll, asFound(roll), changed); err != nil || move.Roll.State != Held || move.Roll.Remjet != chemistry.RemjetUnknown {
		t.Errorf("an expected roll of a stock now in doubt: %+v, %v", move, err)
	}
	was, changed := change(c, chemistry.ECN2, chemistry.RemjetPresent)
	move, err := TakeIn(roll, asFound(roll), changed)
	if err != nil || move.Roll.State != Held || move.Roll.Process != chemistry.ECN2 || move.Roll.Remjet != chemistry.RemjetPresent {
		t.Errorf("an expected roll: %+v, %v", move, err)
	}
	roll.State, roll.TwinCheck = Queued, "A1"
	move, err = Reclassify(roll, was, changed)
	if err != nil || move.Roll.State != Held || move.Roll.Process != chemistry.ECN2 || !move.Roll.Confirm {
		t.Errorf("another process: %+v, %v", move, err)
	}
	roll.State = Batched
	_, err = Reclassify(roll, was, changed)
	wantCode(t, err, Refused)
}
