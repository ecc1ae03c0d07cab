"""Answers on paper: a document made of the desk's answers and their words, written as HTML or Markdown."""
