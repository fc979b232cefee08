// Package note reads what a customer's push note asks for.
//
// A note is free text: "shot at 1600, push 2", "N-1", "do not push". [Read]
// answers three things: the push or pull asked for, the exposure index the film
// was rated at, and whether a person must confirm the reading. A wrong reading
// spoils a roll and a question costs a minute, so whatever is in doubt is asked.
//
// What words mean, as the trade uses them:
//
//   - Push and pull are changes of development: "push 1", "+1", "N+1", "P1" are a
//     stop more; "pull 1", "-1", "N-1" are a stop less.
//   - A target asks for the difference to box speed: "push to 3200" and "develop
//     at 3200" on ISO 400 are +3, and say that the film was rated 3200.
//   - A rating alone asks for nothing. "Shot at 1600" on ISO 400 gives the EI, no
//     push, and a question: many who write it want a push, many do not. That
//     holds for a slower rating too, which colour negative takes as it is but
//     which asks for a pull on other film, and a note does not say on what it
//     was written. Half a stop or less is common practice and is not asked.
//   - "Please push", "develop accordingly" and "compensate" take their amount
//     from the rating; without one they are asked.
//   - Over and under are exposure: "one stop over" on ISO 400 is EI 200.
//   - "Normal", "box speed" and "do not push" are a push of 0, whatever the
//     rating; "box speed" also says that the EI is the ISO. Where nothing is said
//     about development the push is nil, which is not the same.
//   - Box speed and the name of a service ("standard dev and scan") say what a
//     push is added to, and do not contradict it, as long as both can only be
//     about the same film. "Normal dev, push 1" is asked.
//   - A rating and a push must agree to a third of a stop, since speeds are
//     printed in thirds; the stops written are what is asked.
//   - Asked about always: contradictions, ranges, maybes, questions, conditions,
//     two requests in one note, parts of a roll, changes without an amount, and
//     more than three stops.
//   - A question put as a polite request ("could you push this one stop?") is a
//     request.
//
// Numbers that are about something else (resolution, telephone numbers, dates,
// sizes, apertures, counts, addresses, prices, the ISO in a stock's name) are
// left alone.
//
// The note is cut into tokens, words are mended and put into classes, figures
// and number words become numbers, numbers about something else are put aside,
// and a small grammar reads findings from what is left. The findings are then
// weighed against each other.
package note
