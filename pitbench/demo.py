"""Where the invented club weekend lies. Nobody else may look for the demo data: an installed pitbench carries it
inside the package, a checkout has it at the top level."""

from pathlib import Path

LOGBOOK_NAME = "weekend.json"


def demo_data_folder() -> Path:
    """The folder with the sheets and the logbook made from them."""
    package = Path(__file__).parent
    installed = package / "demo_data"
    return installed if installed.is_dir() else package.parent / "demo_data"


def demo_logbook() -> Path:
    """The logbook of the weekend: copy it, never open it in place."""
    return demo_data_folder() / LOGBOOK_NAME
