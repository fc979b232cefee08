// Package web holds what people see: the pages' types and templates, the style
// and the scripts, all embedded. Package server fills the pages in; nothing
// here knows where the data comes from.
//
// A page is a struct in this package that embeds [Frame], names its template
// and stands in the list that [Pages] returns; a test checks every template
// against its struct.
package web
