package jobs

// State sums up where the rolls of the order are.
func (o Order) State() OrderState {
	var expected, held, inWork, ready, delivered int
	for _, roll := range o.Rolls {
		switch roll.State {
		case Expected:
			expected++
		case Held:
			held++
		case Ready:
			if roll.Inspect { // it does not leave before somebody has looked at it
				inWork++
			} else {
				ready++
			}
		case Delivered:
			delivered++
		case Cancelled, Spoiled:
		default:
			inWork++
		}
	}
	switch {
	case held > 0:
		return OrderHeld
	case inWork > 0:
		return OrderInWork
	case expected > 0 && ready+delivered > 0:
		return OrderPartReady
	case expected > 0:
		return OrderExpected
	case ready > 0:
		return OrderReady
	case delivered > 0:
		return OrderDelivered
	}
	return OrderEnded
}
