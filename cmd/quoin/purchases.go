//go:build !checker

package main

import (
	"context"
	"fmt"
	"os"

	"quoin/cmd/quoin/internal/ledger"
	"quoin/validate"
)

// purchasesHelp tells what --purchases takes.
const purchasesHelp = "" +
	"With --purchases it takes what was bought from outside out of comma-separated files, since tickets\n" +
	"do not say it. Their first line names the columns: job, what and amount, and where known part, date (2026-03-02),\n" +
	"supplier and planned, in any order. Amounts are net and in the currency of the plant; a credit is below zero.\n" +
	"A purchase counts once: two that are alike in all columns need different words for what they are."

// takePurchases adds lists of purchases to a ledger.
func takePurchases(ctx context.Context, books *ledger.Ledger, files []string, report *validate.Report) (
	ledger.Count, error) {
	var sum ledger.Count
	for _, name := range files {
		done, err := takePurchasesOf(ctx, books, name, report)
		if err != nil {
			return sum, err
		}
		sum.New, sum.Known = sum.New+done.New, sum.Known+done.Known
	}
	return sum, nil
}

func takePurchasesOf(ctx context.Context, books *ledger.Ledger, name string, report *validate.Report) (
	ledger.Count, error) {
	file, err := os.Open(name)
	if err != nil {
		return ledger.Count{}, fmt.Errorf("read purchases: %w", err)
	}
	defer file.Close()
	all, found, err := ledger.ReadPurchases(name, file)
	if err != nil {
		return ledger.Count{}, err
	}
	for _, f := range found {
		report.Add(f)
	}
	return books.TakePurchases(ctx, all)
}
