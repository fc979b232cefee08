package server

import (
	"fmt"
	"strconv"
	"strings"

	"wetside/chemistry"
	"wetside/jobs"
)

// orderForm is an order as it was typed.
type orderForm struct {
	Do      string     `form:"do"`
	Key     string     `form:"key" validate:"max=64"`
	Name    string     `form:"name" validate:"required,max=80"`
	Email   string     `form:"email" validate:"required,max=254,email"`
	Phone   string     `form:"phone" validate:"max=40"`
	Return  string     `form:"return" validate:"required,oneof=collect post"`
	Address string     `form:"address" validate:"required_if=Return post,max=500"`
	Rolls   []rollForm `form:"rolls" most:"50" validate:"min=1,max=50,dive"`
}

// rollForm is a roll as it was typed.
type rollForm struct {
	Stock           string `form:"stock" validate:"required"`
	Format          string `form:"format" validate:"required"`
	Exposures       string `form:"exposures" validate:"max=10"`
	Light           string `form:"light"`
	Filter          string `form:"filter"`
	EI              string `form:"ei" validate:"max=10"`
	Push            string `form:"push" validate:"max=10"`
	Solution        string `form:"solution"`
	Note            string `form:"note" validate:"max=2000"`
	CutAndSleeve    bool   `form:"cut_and_sleeve"`
	Scan            bool   `form:"scan"`
	ReturnNegatives bool   `form:"return_negatives"`
}

// newRollForm is what a fresh roll in the form begins with.
func newRollForm() rollForm {
	return rollForm{Format: string(chemistry.Format135), CutAndSleeve: true, Scan: true, ReturnNegatives: true}
}

// order turns what was typed into an order; what cannot be read is added to
// the faults.
func (f orderForm) order(wrong *faults) jobs.NewOrder {
	order := jobs.NewOrder{Name: f.Name, Email: f.Email, Phone: f.Phone, Return: jobs.Return(f.Return)}
	if order.Return == jobs.Post {
		order.Address = f.Address
	}
	for i, roll := range f.Rolls {
		order.Rolls = append(order.Rolls, roll.roll(fmt.Sprintf("rolls[%d].", i), wrong))
	}
	return order
}

// roll turns what was typed into a roll. The prefix leads the names of its
// fields.
func (f rollForm) roll(prefix string, wrong *faults) jobs.NewRoll {
	roll := jobs.NewRoll{
		Stock:     jobs.StockID(key(f.Stock, prefix+"stock", wrong)),
		Format:    chemistry.Format(f.Format),
		Exposures: count(f.Exposures, prefix+"exposures", wrong),
		Light:     chemistry.Light(f.Light),
		Filter:    f.Filter,
		EI:        count(f.EI, prefix+"ei", wrong),
		Solution:  jobs.SolutionID(key(f.Solution, prefix+"solution", wrong)),
		Note:      f.Note,
		Service:   jobs.Service{CutAndSleeve: f.CutAndSleeve, Scan: f.Scan, ReturnNegatives: f.ReturnNegatives},
	}
	if text := strings.TrimSpace(f.Push); text != "" {
		push, err := chemistry.ParseStops(text)
		if err != nil {
			wrong.add(prefix+"push", "%v", err)
		}
		roll.Push = &push
	}
	return roll
}

// count reads a whole number that may be left out, which is 0.
func count(text, field string, wrong *faults) int {
	n, ok := jobs.ReadCount(text)
	if !ok {
		wrong.add(field, "the %s is no whole number: %q; write it in digits, or leave it empty", fieldName(field), strings.TrimSpace(text))
	}
	return n
}

// key reads the key of something chosen from a list; 0 for nothing.
func key(text, field string, wrong *faults) int64 {
	if text == "" {
		return 0
	}
	n, err := strconv.ParseInt(text, 10, 64)
	if err != nil {
		wrong.add(field, "choose one from the list")
	}
	return n
}
