package server

import (
	"context"

	"wetside/jobs"
	"wetside/server/api"
)

func apiPerson(p jobs.Person) api.Person {
	return api.Person{Id: p.ID, Name: p.Name, Role: p.Role, Active: p.Active, CreatedAt: p.CreatedAt}
}

// ListPeople lists everybody who signs in.
func (a apiCalls) ListPeople(ctx context.Context, _ api.ListPeopleRequestObject) (api.ListPeopleResponseObject, error) {
	people, err := a.services.People.People(ctx)
	return api.ListPeople200JSONResponse{People: each(people, apiPerson)}, err
}

// AddPerson adds somebody.
func (a apiCalls) AddPerson(ctx context.Context, request api.AddPersonRequestObject) (api.AddPersonResponseObject, error) {
	person, err := a.services.People.AddPerson(ctx, by(ctx), request.Body.Name, request.Body.Role, request.Body.Password)
	return api.AddPerson201JSONResponse(apiPerson(person)), err
}

// SetPassword gives somebody a new password.
func (a apiCalls) SetPassword(ctx context.Context, request api.SetPasswordRequestObject) (api.SetPasswordResponseObject, error) {
	return api.SetPassword204Response{}, a.services.People.SetPassword(ctx, by(ctx), request.Id, request.Body.Password)
}

// SetActive lets somebody sign in or not.
func (a apiCalls) SetActive(ctx context.Context, request api.SetActiveRequestObject) (api.SetActiveResponseObject, error) {
	return api.SetActive204Response{}, a.services.People.SetActive(ctx, by(ctx), request.Id, *request.Body.Active)
}
