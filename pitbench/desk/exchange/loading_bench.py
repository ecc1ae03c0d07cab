"""What a row of bench.csv does to the logbook: the motor it adds on need, and its unlikely figures."""

from pitbench.desk.exchange.loading_book import Book
from pitbench.desk.exchange.loading_links import Links
from pitbench.desk.exchange.loading_runs import RunTaker
from pitbench.records.fields import BENCH_FIGURES
from pitbench.sheets.reading import SheetRow


class BenchTaker(RunTaker):
    """Takes the rows of one bench sheet. What is unlikely in them is known when all of them are there."""

    kind, at = "bench_run", "taken_at"

    def check(self, row: SheetRow) -> None:
        """At least one figure, and what speed needs to be one. Cells that could not be read have their own fault."""
        given = {name for name in BENCH_FIGURES if name in row.texts}
        if not given and not row.faults:
            row.fault(None, "no figure in this row, at least one like kv_rpm_per_v or no_load_current_a would be right")
        if "rpm" in given and not {"kv_rpm_per_v", "test_voltage_v"} & row.texts.keys():
            row.fault("rpm", "needs test_voltage_v, the voltage it was read at")

    def links(self, book: Book, row: SheetRow) -> Links:
        """The motor of this name: sketched if nobody knows it yet."""
        links, name = Links(), row.values.get("motor")
        if name:
            links.link(book, "motor", book.named_or_new("motor", name))
        return links
