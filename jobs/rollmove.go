package jobs

import "time"

// RollMove is a roll on its way from one state to the next, with the events
// that tell of it. It is the one way in which a roll changes its state.
type RollMove struct {
	Roll   Roll
	Events []Event // without time, order and actor, which the records add
}

// Move begins a move of a roll.
func (r Roll) Move() *RollMove { return &RollMove{Roll: r} }

// To moves the roll to a state: WrongState when its present one does not allow
// it, Refused when somebody has to look at the roll first.
func (m *RollMove) To(next RollState, kind, why string) error {
	if !m.Roll.State.CanBecome(next) {
		return Errorf(WrongState, "roll %s is %s; it cannot become %s", m.Roll.Label(), m.Roll.State, next)
	}
	if err := m.Roll.checkInspected(next); err != nil {
		return err
	}
	m.Events = append(m.Events, Event{Kind: kind, Roll: m.Roll.ID, From: string(m.Roll.State), To: string(next), Why: why})
	m.Roll.State = next
	return nil
}

// Stay tells of a change that leaves the state as it is.
func (m *RollMove) Stay(kind, why string) {
	m.Events = append(m.Events, Event{Kind: kind, Roll: m.Roll.ID, From: string(m.Roll.State), To: string(m.Roll.State), Why: why})
}

// CheckVersion tells that somebody else moved the roll since it was looked at,
// and where it is now. A version of 0 is not compared.
func (r Roll) CheckVersion(version int, lab Lab, now time.Time) error {
	if version == 0 || version == r.Version {
		return nil
	}
	return r.StaleError(lab, now)
}

// StaleError tells where a roll is that somebody else has moved.
func (r Roll) StaleError(lab Lab, now time.Time) error {
	zone := lab.Zone()
	since, layout := r.Since.In(zone), "15:04"
	if since.Format(time.DateOnly) != now.In(zone).Format(time.DateOnly) {
		layout = "15:04 on 2 January"
	}
	return Errorf(Stale, "Somebody moved this roll at %s: it is now %s.", since.Format(layout), r.State)
}
