package server

import (
	"fmt"
	"strings"

	"wetside/chemistry"
	"wetside/jobs"
	"wetside/web"
)

// adviceWords says how much a piece of advice weighs, as a class of the style
// and a word.
var adviceWords = map[chemistry.Severity]struct{ class, word string }{
	chemistry.Note:   {"note", "Good to know"},
	chemistry.Warn:   {"warn", "Mind this"},
	chemistry.Refuse: {"bad", "Cannot be done"},
}

// readingOf puts what the lab reads in a roll into words.
func readingOf(roll jobs.NewRoll, u jobs.Understanding, c jobs.Catalogue) web.Reading {
	r := u.Request
	reading := web.Reading{Sentence: sentence(u.Reading), Confirm: u.Confirm, DevelopS: u.Develop}
	if r.ISO != 0 {
		reading.Rated = fmt.Sprintf("ISO %d at EI %d", r.ISO, r.EI)
		if r.Rated != 0 {
			reading.Rated += ", " + r.Rated.String()
		}
		reading.Asked = pushWords(r.Asked)
	}
	switch {
	case r.Left > 0:
		reading.Left = "underexposed by " + strings.TrimPrefix(r.Left.String(), "+")
	case r.Left < 0:
		reading.Left = "overexposed by " + strings.TrimPrefix(r.Left.String(), "−")
	}
	if stock := c.Stocks[roll.Stock]; stock.Film.Process == chemistry.BW {
		solution := roll.Solution
		if solution == 0 {
			solution = stock.Solution
		}
		reading.Developer = c.Solutions[solution].Name
	}
	for _, advice := range r.Advice {
		words := adviceWords[advice.Severity]
		reading.Advice = append(reading.Advice, web.Advice{Class: words.class, Word: words.word, Text: sentence(advice.Text) + "."})
	}
	return reading
}

// pushWords writes how a roll is to be developed.
func pushWords(push chemistry.Stops) string {
	switch {
	case push > 0:
		return "push " + push.String()
	case push < 0:
		return "pull " + push.String()
	}
	return "normal"
}

// filmWords names a roll's film and format.
func filmWords(stock string, format chemistry.Format, exposures int) string {
	words := stock + ", " + format.String()
	switch {
	case exposures > 0 && format == chemistry.Format4x5:
		words += fmt.Sprintf(" (%d sheets)", exposures)
	case exposures > 0 && format == chemistry.Format135:
		words += fmt.Sprintf("-%d", exposures)
	case exposures > 0:
		words += fmt.Sprintf(" (%d exposures)", exposures)
	}
	return words
}

// serviceWords says what is done with a roll after developing.
func serviceWords(service jobs.Service) string {
	var words []string
	if service.CutAndSleeve {
		words = append(words, "cut and sleeve")
	}
	if service.Scan {
		words = append(words, "scan")
	}
	if service.ReturnNegatives {
		words = append(words, "film goes back")
	} else {
		words = append(words, "the lab keeps the film")
	}
	return sentence(strings.Join(words, ", "))
}

// returnWords says how an order goes back.
func returnWords(way jobs.Return) string {
	if way == jobs.Post {
		return "By post"
	}
	return "Collected at the lab"
}

// customerWords is what a state means for whoever waits for the film. Frame is
// the place on the strip of [progressWords], −1 when the way ended early.
type customerWords struct {
	frame int
	chip  web.Chip
	say   string
}

// progressWords are the frames of a roll's way through the lab.
var progressWords = []string{"On its way to us", "At the lab", "In the chemistry", "Drying, cutting", "Ready", "Back with you"}

var rollWords = map[jobs.RollState]customerWords{
	jobs.Expected:   {0, web.Chip{Class: "wait", Word: "Not here yet"}, "We wait for this roll to arrive."},
	jobs.Received:   {1, web.Chip{Class: "work", Word: "Arrived"}, "It is here and has its number."},
	jobs.Held:       {1, web.Chip{Class: "hold", Word: "We have a question"}, "It waits until we know what you want."},
	jobs.Queued:     {1, web.Chip{Class: "work", Word: "In line"}, "It waits for rolls that want the same development."},
	jobs.Batched:    {1, web.Chip{Class: "work", Word: "Next to develop"}, "It has its place in a batch."},
	jobs.Developing: {2, web.Chip{Class: "work", Word: "Developing"}, "It is in the chemistry right now."},
	jobs.Drying:     {3, web.Chip{Class: "work", Word: "Drying"}, "It is developed and hangs to dry."},
	jobs.Finishing:  {3, web.Chip{Class: "work", Word: "Finishing"}, "It is dry and is being finished and checked."},
	jobs.Ready:      {4, web.Chip{Class: "ready", Word: "Ready"}, "It is ready to leave."},
	jobs.Delivered:  {5, web.Chip{Class: "done", Word: "Delivered"}, "It has left the lab."},
	jobs.Cancelled:  {-1, web.Chip{Class: "bad", Word: "Cancelled"}, "It was called off and is not developed."},
	jobs.Spoiled:    {-1, web.Chip{Class: "bad", Word: "Spoiled"}, "We are sorry: this roll was ruined."},
}

// lookedAtAgain is what is said of a ready roll that does not leave before
// somebody has looked at it.
var lookedAtAgain = customerWords{3, web.Chip{Class: "work", Word: "Being checked"}, "It is developed; we look at it once more before it leaves."}

var orderWords = map[jobs.OrderState]customerWords{
	jobs.OrderExpected:  {chip: web.Chip{Class: "wait", Word: "Waiting for your film"}, say: "We have your order and wait for the film."},
	jobs.OrderHeld:      {chip: web.Chip{Class: "hold", Word: "We have a question"}, say: "We have a question before we go on; you find it below."},
	jobs.OrderInWork:    {chip: web.Chip{Class: "work", Word: "In work"}, say: "Your film is in work."},
	jobs.OrderPartReady: {chip: web.Chip{Class: "work", Word: "Partly ready"}, say: "Some rolls are ready; we still wait for others to arrive."},
	jobs.OrderReady:     {chip: web.Chip{Class: "ready", Word: "Ready"}, say: "Your film is ready."},
	jobs.OrderDelivered: {chip: web.Chip{Class: "done", Word: "Delivered"}, say: "Your film has left the lab."},
	jobs.OrderEnded:     {chip: web.Chip{Class: "bad", Word: "Ended early"}, say: "This order ended before it was done; you find the reasons below."},
}

// framesOf draws a roll's way: what is past, where it is now, what is to come.
func framesOf(words customerWords) []web.ProgressFrame {
	if words.frame < 0 {
		return nil
	}
	frames := make([]web.ProgressFrame, len(progressWords))
	for i, word := range progressWords {
		frames[i].Word = word
		switch {
		case i < words.frame:
			frames[i].Class = "past"
		case i == words.frame:
			frames[i].Now, frames[i].Class = true, "now"
			if words.chip.Class == "hold" {
				frames[i].Class = "now hold"
			}
		}
	}
	return frames
}
