package server

import (
	"bytes"
	"context"

	"wetside/jobs"
	"wetside/server/api"
)

// Describe sends the description of the API.
func (a apiCalls) Describe(context.Context, api.DescribeRequestObject) (api.DescribeResponseObject, error) {
	return api.Describe200ApplicationyamlResponse{Body: bytes.NewReader(api.Description), ContentLength: int64(len(api.Description))}, nil
}

func apiSession(person jobs.Person) api.Session {
	return api.Session{Name: person.Name, Role: person.Role}
}

// WhoAmI tells who is signed in.
func (a apiCalls) WhoAmI(ctx context.Context, _ api.WhoAmIRequestObject) (api.WhoAmIResponseObject, error) {
	person, _ := personOf(callOf(ctx))
	return api.WhoAmI200JSONResponse(apiSession(person)), nil
}

// SignIn lets somebody in, as often as the page of the same name does.
func (a apiCalls) SignIn(ctx context.Context, request api.SignInRequestObject) (api.SignInResponseObject, error) {
	c := callOf(ctx)
	person, err := a.door.check(c, request.Body.Name, request.Body.Password)
	if err != nil {
		return nil, err
	}
	if err := a.begin(c, person); err != nil {
		return nil, err
	}
	return api.SignIn200JSONResponse(apiSession(person)), nil
}

// SignOut ends the session.
func (a apiCalls) SignOut(ctx context.Context, _ api.SignOutRequestObject) (api.SignOutResponseObject, error) {
	if err := a.sessions.Destroy(ctx); err != nil {
		return nil, err
	}
	return api.SignOut204Response{}, nil
}
