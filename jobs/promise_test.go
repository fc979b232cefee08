package jobs

import (
	"maps"
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"

	"wetside/chemistry"
)

// promising is the test lab with its orders ready as soon as they can be.
func promising(zone string) Catalogue {
	c := testLab().Catalogue
	c.Lab.ReadyHours, c.Lab.TimeZone = 1, zone
	return c
}

// known is a pace that was seen often enough.
func known(arrival, drySide time.Duration) Pace {
	return Pace{Arrival: Usual{arrival, arrival, fewSeen}, DrySide: Usual{drySide, drySide, fewSeen}}
}

func waiting(w WetSide, stock StockID, here, expected int) Waiting {
	return Waiting{WorkKind: w.roll(1, stock).Kind(), Here: here, Expected: expected}
}

// A C-41 load holds the drum for 25 minutes and 3:15 of development (Kodak
// Z-131, table 2-1), and takes five rolls of 135.
func TestPromise(t *testing.T) {
	t.Parallel()
	w := testLab()
	const hour = time.Hour
	load := 1500*time.Second + 195*time.Second
	day := func(d, h, m int) time.Time { return time.Date(2026, 3, d, h, m, 0, 0, time.UTC) }
	for _, test := range []struct {
		name       string
		now        time.Time
		pace       Pace
		work       []Waiting
		running    []Running
		wantHereBy time.Time
		wantReady  time.Time
		readyHours int
		rolls      int
		closedOn   Weekdays
		closures   []Closure
	}{
		{name: "nothing to do", now: day(2, 9, 0), pace: known(hour, 2*hour), rolls: 1,
			wantHereBy: day(2, 10, 0), wantReady: day(2, 12, 0).Add(load)},
		{name: "a full load", now: day(2, 9, 0), pace: known(hour, 2*hour), rolls: 5,
			wantHereBy: day(2, 10, 0), wantReady: day(2, 12, 0).Add(load)},
		{name: "one more than a load", now: day(2, 9, 0), pace: known(hour, 2*hour), rolls: 6,
			wantHereBy: day(2, 10, 0), wantReady: day(2, 12, 0).Add(2 * load)},
		{name: "the lab's usual hours", now: day(2, 9, 0), pace: known(hour, 2*hour), rolls: 1, readyHours: 72,
			wantHereBy: day(2, 10, 0), wantReady: day(5, 9, 0)},
		{name: "nothing learnt", now: day(2, 9, 0), rolls: 1,
			wantHereBy: day(3, 9, 0), wantReady: day(4, 9, 0).Add(load)},
		{name: "what is here is done by then", now: day(2, 9, 0), pace: known(6*hour, hour), rolls: 1,
			work: []Waiting{waiting(w, sedge160, 20, 0)}, wantHereBy: day(2, 15, 0), wantReady: day(2, 16, 0).Add(load)},
		{name: "behind what is expected", now: day(2, 9, 0), pace: known(hour, hour), rolls: 1,
			work: []Waiting{waiting(w, sedge160, 0, 10)}, wantHereBy: day(2, 10, 0), wantReady: day(2, 11, 0).Add(3 * load)},
		{name: "other lines' work is no matter", now: day(2, 9, 0), pace: known(hour, hour), rolls: 1,
			work: []Waiting{waiting(w, marl400, 100, 100)}, wantHereBy: day(2, 10, 0), wantReady: day(2, 11, 0).Add(load)},
		{name: "behind a running batch", now: day(2, 9, 0), pace: known(hour, hour), rolls: 1,
			running: []Running{{drum, 2 * 3600}}, wantHereBy: day(2, 10, 0),
			wantReady: day(2, 12, 0).Add(2 * load)}, // the wait for room at the day's end is counted once
		{name: "through before the lab closes", now: day(2, 9, 0), pace: known(8*hour, hour), rolls: 1,
			wantHereBy: day(2, 17, 0), wantReady: day(3, 8, 0)},
		{name: "not through before the lab closes", now: day(2, 9, 0), pace: known(8*hour+32*time.Minute, hour), rolls: 1,
			wantHereBy: day(2, 17, 32), wantReady: day(3, 9, 0).Add(load)},
		{name: "ordered at night", now: day(2, 22, 0), pace: known(hour, hour), rolls: 1,
			wantHereBy: day(3, 8, 0), wantReady: day(3, 9, 0).Add(load)},
		{name: "weekends are worked like any day", now: day(6, 18, 0), pace: known(hour, hour), rolls: 1,
			wantHereBy: day(7, 8, 0), wantReady: day(7, 9, 0).Add(load)},
		{name: "ordered on Saturday evening, closed on Sunday", now: day(7, 18, 30), pace: known(hour, hour), rolls: 1,
			closedOn: WeekdaysOf(time.Sunday), wantHereBy: day(9, 8, 0), wantReady: day(9, 9, 0).Add(load)},
		{name: "closed on the Monday after it", now: day(7, 18, 30), pace: known(hour, hour), rolls: 1,
			closedOn: WeekdaysOf(time.Sunday), closures: []Closure{closing("2026-03-09", "2026-03-09")},
			wantHereBy: day(10, 8, 0), wantReady: day(10, 9, 0).Add(load)},
		{name: "not dried on Sunday", now: day(7, 9, 0), pace: known(hour, 10*hour), rolls: 1,
			closedOn: WeekdaysOf(time.Sunday), wantHereBy: day(7, 10, 0), wantReady: day(9, 8, 0)},
		{name: "a day on the dry side, of which Sunday is none", now: day(7, 9, 0), pace: known(hour, 24*hour), rolls: 1,
			closedOn: WeekdaysOf(time.Sunday), wantHereBy: day(7, 10, 0), wantReady: day(9, 10, 0).Add(load)},
		{name: "more than Saturday takes", now: day(7, 9, 0), pace: known(hour, hour), rolls: 1,
			closedOn: WeekdaysOf(time.Sunday), work: []Waiting{waiting(w, sedge160, 0, 95)},
			wantHereBy: day(7, 10, 0), wantReady: day(9, 9, 0).Add(20*load - (8*hour - load))}, // on Saturday all but the length of a load is sure
		{name: "the usual hours end on Sunday", now: day(5, 9, 0), pace: known(hour, hour), rolls: 1, readyHours: 72,
			closedOn: WeekdaysOf(time.Sunday), wantHereBy: day(5, 10, 0), wantReady: day(9, 8, 0)},
	} {
		c := promising("UTC")
		c.Lab.ClosedOn, c.Lab.Closures = test.closedOn, test.closures
		if test.readyHours > 0 {
			c.Lab.ReadyHours = test.readyHours
		}
		rolls := make([]Roll, test.rolls)
		for i := range rolls {
			rolls[i] = w.roll(RollID(i+1), sedge160).Roll
		}
		got := c.Promise(rolls, Workload{Pace: test.pace, Waiting: test.work, Running: test.running}, test.now)
		if !got.HereBy.Equal(test.wantHereBy) || !got.Ready.Equal(test.wantReady) {
			t.Errorf("%s: here by %v, ready %v, want %v and %v", test.name, got.HereBy, got.Ready, test.wantHereBy, test.wantReady)
		}
	}
}

// On 29 March 2026 Lisbon's clocks go forward at one in the morning: the lab
// opens at seven by UTC from then on.
func TestPromiseOverTheChangeOfTheClocks(t *testing.T) {
	t.Parallel()
	c, w := promising("Europe/Lisbon"), testLab()
	now := time.Date(2026, 3, 28, 17, 30, 0, 0, time.UTC)
	got := c.Promise([]Roll{w.roll(1, sedge160).Roll}, Workload{Pace: known(time.Hour, time.Hour)}, now)
	if want := time.Date(2026, 3, 29, 7, 0, 0, 0, time.UTC); !got.HereBy.Equal(want) {
		t.Errorf("here by %v, want %v", got.HereBy, want)
	}
	if want := time.Date(2026, 3, 29, 8, 28, 15, 0, time.UTC); !got.Ready.Equal(want) {
		t.Errorf("ready %v, want %v", got.Ready, want)
	}
}

// Days begin by the lab's clock, also when they are counted from a moment that
// is the hour of opening by another clock.
func TestDaysBeginByTheLabsClock(t *testing.T) {
	t.Parallel()
	for _, zone := range []string{"Europe/Amsterdam", "Asia/Kolkata", "America/St_Johns", "Pacific/Auckland"} {
		lab := Lab{OpensAt: 8, ClosesAt: 18, TimeZone: zone}
		for minute := range 24 * 60 * 3 {
			from := time.Date(2026, 3, 27, 0, minute, 0, 0, time.UTC)
			days := lab.calendar(from)
			for after := 1; after <= 3; after++ {
				day, start := days.day(after), days.day(0).opens
				if opens, closes := lab.hourOf(start, after, 8), lab.hourOf(start, after, 18); !day.opens.Equal(opens) || !day.closes.Equal(closes) {
					t.Fatalf("%s from %v, day %d: %v to %v, want %v to %v", zone, from, after, day.opens, day.closes, opens, closes)
				}
			}
		}
	}
}

// Days that are alike are counted together; going through them one by one leads
// to the same moment.
func TestWorkIsCountedByTheDay(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		lab := Lab{
			OpensAt:  rapid.IntRange(0, 22).Draw(t, "opens"),
			TimeZone: rapid.SampledFrom([]string{"UTC", "Europe/Lisbon", "Pacific/Auckland", "America/St_Johns", "Australia/Lord_Howe"}).Draw(t, "zone"),
		}
		lab.ClosesAt = rapid.IntRange(lab.OpensAt+1, 24).Draw(t, "closes")
		a := amount{shortest: rapid.IntRange(0, 5000).Draw(t, "shortest")}
		a.longest = a.shortest + rapid.IntRange(0, 5000).Draw(t, "longer")
		seconds := rapid.IntRange(0, 200*24*3600).Draw(t, "seconds")
		from := monday.Add(time.Duration(rapid.IntRange(0, 366*24*60).Draw(t, "minutes")) * time.Minute)
		drawClosed(t, &lab, from)
		days, left, at := lab.calendar(from), seconds, 0
		for ; at < mostDays && left > a.sureSeconds(days.day(at)); at++ {
			left -= a.sureSeconds(days.day(at))
		}
		want := days.day(at).opens.Add(time.Duration(left) * time.Second)
		if got := lab.calendar(from).workUntil(seconds, a); !got.Equal(want) {
			t.Errorf("%+v from %v: %v, day by day %v", lab, from, got, want)
		}
	})
}

// Where no line takes a roll a person has to find a way; the promise is the
// usual one.
func TestPromiseWithoutALine(t *testing.T) {
	t.Parallel()
	c, w := promising("UTC"), testLab()
	c.Lab.ReadyHours = 72
	sheet := w.roll(1, marl400, in(chemistry.Format4x5)).Roll
	if got := c.Promise([]Roll{sheet}, Workload{}, monday); !got.Ready.Equal(c.Lab.DueFrom(monday)) {
		t.Errorf("ready %v", got.Ready)
	}
}

// anyWork draws a lab and what it has to do.
type anyWork struct {
	lab   Catalogue
	rolls []Roll
	work  Workload
	now   time.Time
}

func drawWork(t *rapid.T) anyWork {
	w := testLab()
	zone := rapid.SampledFrom([]string{"UTC", "Europe/Lisbon", "Pacific/Auckland", "America/St_Johns"}).Draw(t, "zone")
	a := anyWork{lab: promising(zone)}
	a.lab.Lab.OpensAt = rapid.IntRange(0, 23).Draw(t, "opens")
	a.lab.Lab.ClosesAt = rapid.IntRange(a.lab.Lab.OpensAt+1, 24).Draw(t, "closes")
	a.lab.Lab.ReadyHours = rapid.IntRange(1, 100).Draw(t, "hours")
	stocks := []StockID{marl400, marl125, sedge160, reedmaceRemoved, reedmaceWithRemjet, tealSlide}
	formats := []chemistry.Format{chemistry.Format135, chemistry.Format120, chemistry.Format4x5}
	draw := func() Roll {
		roll := w.roll(1, rapid.SampledFrom(stocks).Draw(t, "stock")).Roll
		roll.Format = rapid.SampledFrom(formats).Draw(t, "format")
		roll.Push = chemistry.Stops(rapid.IntRange(0, 2).Draw(t, "push")) * chemistry.Stop
		return roll
	}
	for range rapid.IntRange(1, 8).Draw(t, "rolls") {
		a.rolls = append(a.rolls, draw())
	}
	for range rapid.IntRange(0, 6).Draw(t, "kinds") {
		a.work.Waiting = append(a.work.Waiting, Waiting{WorkKind: draw().Kind(),
			Here: rapid.IntRange(0, 60).Draw(t, "here"), Expected: rapid.IntRange(0, 60).Draw(t, "expected")})
	}
	for id := range a.lab.Lines {
		a.work.Running = append(a.work.Running, Running{id, rapid.IntRange(0, 7200).Draw(t, "running")})
	}
	hours := func(name string) time.Duration {
		return time.Duration(rapid.IntRange(0, 200).Draw(t, name)) * time.Hour
	}
	a.work.Pace = Pace{Arrival: Usual{hours("arrival"), hours("latest"), fewSeen}, DrySide: Usual{hours("dry"), hours("slow"), fewSeen}}
	a.now = monday.Add(time.Duration(rapid.IntRange(0, 40*24*60).Draw(t, "minutes")) * time.Minute)
	drawClosed(t, &a.lab.Lab, a.now)
	return a
}

func (a anyWork) promise() Promise { return a.lab.Promise(a.rolls, a.work, a.now) }

func TestPromisesKeepTheirLaws(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		a := drawWork(t)
		first := a.promise()
		if first.Ready.Before(a.lab.Lab.DueFrom(a.now)) || first.Ready.Before(first.HereBy) || first.HereBy.Before(a.now) {
			t.Fatalf("here by %v, ready %v, now %v", first.HereBy, first.Ready, a.now)
		}
		if !a.lab.Lab.openOn(a.lab.Lab.date(first.Ready)) {
			t.Fatalf("ready at %v, when the lab is closed: %+v", first.Ready.In(a.lab.Lab.Zone()), a.lab.Lab)
		}
		before, at := first.Ready.Add(-1).In(a.lab.Lab.Zone()).Hour(), first.Ready.In(a.lab.Lab.Zone())
		opening := at.Minute() == 0 && (at.Hour() == a.lab.Lab.OpensAt || at.Hour() == a.lab.Lab.OpensAt+1 && before == a.lab.Lab.OpensAt-1)
		if (before < a.lab.Lab.OpensAt || before >= a.lab.Lab.ClosesAt) && !opening {
			t.Fatalf("ready at %v, the lab is open from %d to %d", at, a.lab.Lab.OpensAt, a.lab.Lab.ClosesAt)
		}
		more := a
		more.work.Waiting = append([]Waiting{drawWork(t).waitingOne()}, a.work.Waiting...)
		if later := more.promise(); later.Ready.Before(first.Ready) {
			t.Fatalf("with more work before it ready %v, before that %v", later.Ready, first.Ready)
		}
		closed := a
		closed.lab.Lab.ClosedOn |= Weekdays(rapid.IntRange(0, 126).Draw(t, "closed too"))
		if closed.lab.Lab.ClosedOn == WeekdaysOf(Week...) {
			closed.lab.Lab.ClosedOn = a.lab.Lab.ClosedOn
		}
		from := dayOf(a.now)
		if closures := a.lab.Lab.Closures; len(closures) > 0 {
			from = closures[len(closures)-1].To.AddDate(0, 0, 1)
		}
		closed.lab.Lab.Closures = append(slices.Clone(a.lab.Lab.Closures), Closure{From: from, To: from.AddDate(0, 0, rapid.IntRange(0, 60).Draw(t, "longer"))})
		if later := closed.promise(); later.Ready.Before(first.Ready) || later.HereBy.Before(first.HereBy) {
			t.Fatalf("with more closed days %+v, before that %+v", later, first)
		}
		wider := a
		wider.lab.Lines = maps.Clone(a.lab.Lines)
		line := a.lab.Lines[rapid.SampledFrom([]LineID{drum, handTanks, dipAndDunk, blackDrum}).Draw(t, "like")]
		line.ID, line.Capacity = 99, rapid.IntRange(1, 40).Draw(t, "capacity")
		wider.lab.Lines[line.ID] = line
		if sooner := wider.promise(); sooner.Ready.After(first.Ready) {
			t.Fatalf("with another line ready %v, without %v", sooner.Ready, first.Ready)
		}
	})
}

func (a anyWork) waitingOne() Waiting {
	return Waiting{WorkKind: a.rolls[0].Kind(), Here: len(a.rolls), Expected: len(a.work.Waiting)}
}

// What the schedule behind a promise says of a day, the plan keeps: film that
// is here comes out of the chemistry by then.
func TestThePlanHoldsWhatIsPromised(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		w := testLab()
		w.Lab.OpensAt, w.Lab.ClosesAt = 0, 24
		now := monday.Add(-9 * time.Hour)
		var queued []RollView
		var work Workload
		for i := range rapid.IntRange(1, 12).Draw(t, "rolls") {
			stock := rapid.SampledFrom([]StockID{sedge160, tealSlide, reedmaceRemoved}).Draw(t, "stock")
			roll := w.roll(RollID(i+1), stock)
			backlog := w.backlog(work, map[WorkKind]int{roll.Kind(): 1})
			roll.Due, _ = backlog.developed(roll.Kind(), w.Lab.calendar(now), w.Lab.calendar(now))
			queued = append(queued, roll)
			work.Waiting = append(work.Waiting, Waiting{WorkKind: roll.Kind(), Here: 1})
		}
		p, err := w.Propose(queued, nil, now)
		if err != nil {
			t.Fatal(err)
		}
		if len(p.Late) > 0 && p.Proven {
			t.Fatalf("late: %v of %d", p.Late, len(queued))
		}
	})
}
