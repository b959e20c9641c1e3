"""A cook looked at afterwards: figures, what was found, the report, the export."""

from emberdraft.review.export import FORMATS, chunks_of, export_cook
from emberdraft.review.figures import figures_of
from emberdraft.review.summary import cooks_table, summary_text

__all__ = ["FORMATS", "chunks_of", "cooks_table", "export_cook", "figures_of", "summary_text"]
