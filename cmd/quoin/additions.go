//go:build !checker

package main

import (
	"net/http"
	"path/filepath"

	"quoin/cmd/quoin/internal/alerts"
	"quoin/cmd/quoin/internal/api"
	"quoin/cmd/quoin/internal/board"
	"quoin/cmd/quoin/internal/service"
	"quoin/convert/cost/render"
)

// additions are what is added to the service beside messages and hot folders.
func (s *serving) additions() []service.Addition {
	// Files that the plant file names stand beside it, or in it where it is a folder.
	folder := filepath.Dir(s.plantFile)
	return []service.Addition{api.Addition(), alerts.Addition(folder), boardAddition()}
}

func boardAddition() service.Addition {
	return service.Addition{
		Name: "board",
		Mount: func(mux *http.ServeMux, p *service.Parts) {
			pages, err := board.New(board.Parts{
				Store: p.Store, Ledger: p.Ledger, Plant: p.Plant, Desk: p.Desk, Guard: p.Guard, Forms: reportForms(),
				Clock: p.Clock, Log: p.Log, Version: p.Version, Place: p.Store.DB().Name(), Ending: p.Ending,
			})
			if err != nil {
				panic(err) // of the files within the program
			}
			mux.Handle("/", pages)
		},
	}
}

// reportForms are the forms in which reports of the board are taken away.
func reportForms() []board.Form {
	return []board.Form{
		{Name: "csv", Media: "text/csv; charset=utf-8", Write: render.CSV},
		{Name: "json", Media: "application/json", Write: render.JSON},
	}
}
