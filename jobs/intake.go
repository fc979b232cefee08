package jobs

import (
	"fmt"
	"net/mail"
	"strings"
	"time"
)

// The longest texts of an order, in characters.
const (
	maxEmail   = 254
	maxPhone   = 40
	maxAddress = 500
	MaxNote    = 2000
	maxKey     = 200

	maxReference = 40
)

// CheckKey refuses an idempotency key that is no line of text.
func CheckKey(key string) error {
	var wrong fieldErrors
	wrong.line("idempotency_key", key, maxKey)
	return wrong.err("this key cannot be used")
}

// Admit decides whether an order is taken in, and makes it, all but its number
// and its token; it is due when the lab can promise it behind the work that it
// has. Invalid names every field that is wrong, as the input does.
func Admit(order NewOrder, c Catalogue, work Workload, now time.Time) (Order, error) {
	var wrong fieldErrors
	admitted := wrong.sender(order)
	admitted.Submitted = now
	switch n := len(order.Rolls); {
	case n == 0:
		wrong.add("rolls", "an order needs at least one roll")
	case n > MaxRolls:
		wrong.add("rolls", "%d rolls are too many for one order, at most %d", n, MaxRolls)
		return Order{}, wrong.err("the order cannot be taken")
	}
	for i, roll := range order.Rolls {
		read, faults := readRoll(roll, c)
		for _, fault := range faults {
			wrong.add(fmt.Sprintf("rolls[%d].%s", i, fault.Field), "%s", fault.Message)
		}
		taken := read.roll
		taken.Position, taken.State, taken.Since = i+1, Expected, now
		admitted.Rolls = append(admitted.Rolls, taken)
	}
	if err := wrong.err("the order cannot be taken as it is"); err != nil {
		return Order{}, err
	}
	admitted.Due = c.Promise(admitted.Rolls, work, now).Ready
	for i := range admitted.Rolls {
		admitted.Rolls[i].Due = admitted.Due
	}
	return admitted, nil
}

// sender checks who sends an order and how it goes back.
func (f *fieldErrors) sender(order NewOrder) Order {
	o := Order{
		Reference: strings.TrimSpace(order.Reference),
		Name:      strings.TrimSpace(order.Name),
		Email:     strings.TrimSpace(order.Email),
		Phone:     strings.TrimSpace(order.Phone),
		Return:    order.Return,
		Address:   strings.TrimSpace(order.Address),
	}
	f.line("reference", o.Reference, maxReference)
	f.name("name", o.Name)
	f.email("email", o.Email)
	f.line("phone", o.Phone, maxPhone)
	f.oneOf("return", string(o.Return), names([]Return{Collect, Post}))
	if o.Return == Post && o.Address == "" {
		f.add("address", "the address to post the film to is missing")
	}
	f.paragraph("address", o.Address, maxAddress)
	return o
}

// email checks an address as far as that can be done without writing to it.
func (f *fieldErrors) email(field, text string) {
	if text == "" {
		f.add(field, "an e-mail address is missing; it is how the lab asks and tells")
		return
	}
	before := len(*f)
	f.line(field, text, maxEmail)
	if len(*f) > before {
		return
	}
	parsed, err := mail.ParseAddress(text)
	if err != nil || parsed.Address != text || !strings.Contains(text[strings.LastIndexByte(text, '@'):], ".") {
		f.add(field, "%q is no e-mail address, write it like name@example.org", text)
	}
}
