"""What is made of whole workbooks: compared, revised, written with other names."""
