"""What torquelog costs, each figure a ratio against something named, measured in the same run."""
