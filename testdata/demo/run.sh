#!/usr/bin/env bash
# The main job on four invented jobs of Saltmarsh Print Works: check, plan,
# write the machines' tickets, take back what the machines report, and cost it;
# then a month of invented jobs, what it cost against its plans, and what it teaches.
#
#   testdata/demo/run.sh PATH-TO-QUOIN
set -eu
quoin=$(realpath "$1")
cd "$(dirname "$0")"
plant=../plant/saltmarsh.yaml
out=$(mktemp -d)
trap 'rm -rf "$out"' EXIT

say() { printf '\n──── %s\n\n' "$*"; }

# expect STATUS COMMAND...: run it, and stop when it ends otherwise.
expect() {
	local want=$1 got=0
	shift
	"$@" || got=$?
	if [ "$got" != "$want" ]; then
		echo "demo: expected exit status $want, got $got from: $*" >&2
		exit 1
	fi
}

say "1. Four orders come in. Which of them can be made?"
expect 1 "$quoin" validate --plant "$plant" tide-tables.xjdf playbill.jdf wedding-cards.xjdf harbour-chart.xjdf

say "2. The wedding cards go back to their sender, the harbour chart to sales. The leaflet, an XJDF, is planned."
expect 0 "$quoin" plan tide-tables.xjdf --plant "$plant" --out "$out/tide-tables"

say "3. The theatre programme, a JDF of the first generation, is planned."
expect 0 "$quoin" plan playbill.jdf --plant "$plant" --out "$out/playbill"

say "4. The tickets for the machines, checked as their makers would."
(cd "$out" && ls -1 tide-tables playbill)
expect 0 "$quoin" validate --plant "$plant" "$out"

say "5. The machines report: audit pools and messages of both generations, one of them sent twice."
expect 0 "$quoin" collect returned --plant "$plant" --plan "$out/tide-tables" --plan "$out/playbill"

say "6. A month at Saltmarsh, made up: 140 jobs, played on machines with habits that the plant file does not know."
expect 0 "$quoin" rehearse --plant "$plant" --folder "$out/month" --jobs 140 --seed 1 --quiet
plans=()
for job in "$out"/month/plans/*; do
	plans+=(--plan "$job")
done
expect 0 "$quoin" collect "$out/month/orders" "$out/month/returned" --plant "$plant" --ledger "$out/month.db" "${plans[@]}"

say "7. What the month cost, beside its plans, and the three worst deviations."
expect 0 "$quoin" report "$out/month.db" --plant "$plant" --by week --out "$out/month.txt"
sed '/^  4\. /,$d' "$out/month.txt"

say "8. What it teaches. The jobs of the last week take no part, and show whether the plan gets better."
expect 0 "$quoin" learn "$out/month.db" --plant "$plant" --hold 7 --out "$out/saltmarsh-proposed.yaml"
expect 0 "$quoin" plant check "$out/saltmarsh-proposed.yaml"
